"""What rules of several kinds say of names: that an entry is there, and that a check has an answer."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any, Literal

from engine.foundation.problems import Problem, advice_for
from engine.foundation.texts import say
from engine.foundation.yaml_reader import Path
from engine.knowledge.catalogue import Folder, Placed, answers_of

Kind = Literal["check", "cause", "repair", "part", "caution", "danger"]


def entry_is_there(
    folder: Folder, placed: Placed[Any], path: Path, kind: Kind, id: str, at_key: bool = False
) -> Iterator[Problem]:
    """Hold that there is an entry of this kind and id. Args: the entry that names it, and where."""
    if folder.lacks(kind, id):
        yield placed.problem(path, say(f"mistakes_rules.no_such.{kind}", id=id), folder.advice(id, kind), at_key)


def entries_are_there(
    folder: Folder, placed: Placed[Any], name: str, kind: Kind, ids: Sequence[str]
) -> Iterator[Problem]:
    """Hold that a list names entries of this kind. Args: the entry, the list's name there, and what it says."""
    for index, entry_id in enumerate(ids):
        yield from entry_is_there(folder, placed, (name, index), kind, entry_id)


def answer_is_known(
    placed: Placed[Any], path: Path, check: str | None, answer: str, known: Collection[str] | None, at_key: bool = True
) -> Iterator[Problem]:
    """Hold that a check has an answer. Args: the entry that names it, where, and the check's answers, if known."""
    if known is not None and answer not in known:
        what = say("mistakes_rules.no_such.answer", answer=answer, check=check)
        yield placed.problem(path, what, advice_for(answer, known), at_key)


def answers_are_known(
    folder: Folder, placed: Placed[Any], name: str, said: Mapping[str, Sequence[str]]
) -> Iterator[Problem]:
    """Hold that a field such as `{unit_power: [lit]}` names checks and their own answers.

    Args: the entry, the field's name, and what it says.
    """
    for check, answers in said.items():
        yield from entry_is_there(folder, placed, (name, check), "check", check, at_key=True)
        known = answers_of(folder, check) if check in folder.checks else None
        for index, answer in enumerate(answers):
            yield from answer_is_known(placed, (name, check, index), check, answer, known, at_key=False)

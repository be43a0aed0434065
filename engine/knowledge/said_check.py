"""What is wrong in the phrases of a faults folder: names of nothing, wrong forms, and one phrase for two answers."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from importlib.resources.abc import Traversable
from pathlib import Path as FilePath

from engine.foundation.bounded_read import read_at_most
from engine.foundation.problems import KnowledgeError, Problem, advice_for, why_not
from engine.foundation.texts import say, told
from engine.foundation.yaml_reader import MOST_BYTES, YamlDocument, compose
from engine.knowledge.catalogue import Folder
from engine.knowledge.files import inside
from engine.knowledge.said import ALIKE, FIELDS, START, TRUE, as_number
from engine.knowledge.schema import ChoiceCheckForm

_TRUTHS = frozenset({"within", "past", "of_others", "alone"})


def said_problems(place: Traversable | FilePath, folder: Folder) -> Iterator[Problem]:
    """Phrases speak of checks and answers that there are, and no phrase says two answers of one check.

    Right: `unit_power: {dark: [unit dead], lit: [green light on]}`.
    Wrong: `unit_power: {dark: [unit dead], lit: [unit dead]}`.

    Args: `folder`, the entries that they speak of.
    """
    known = _answers(folder)
    for file in inside(place):
        if not file.name.endswith(".yaml"):
            yield Problem(f"{place}/{file.name}", 1, 1, *told("mistakes_files.wrong_ending"))
            continue
        try:
            document = compose(f"{place}/{file.name}", read_at_most(file, MOST_BYTES + 1))[0]
        except KnowledgeError as error:
            yield from error.problems
            continue
        except OSError as error:
            yield Problem(f"{place}/{file.name}", 1, 1, *told("mistakes_files.unread_file", why=why_not(error).lower()))
            continue
        yield from document.problems
        yield from _alike(document) if file.name == ALIKE else _checks(document, known)


def _answers(folder: Folder) -> Mapping[str, Collection[str] | None]:
    """The answers by the check, former ones among them; None for a check with a number, which takes any number too."""
    found: dict[str, Collection[str] | None] = {
        START[0]: frozenset(role.form.role for role in folder.roles.values()),
        START[1]: frozenset(folder.trees),
    }
    for name, placed in folder.checks.items():
        form = placed.form
        found[name] = frozenset((*form.answers, *(form.either or ()))) if isinstance(form, ChoiceCheckForm) else None
    return found


def _alike(document: YamlDocument) -> Iterator[Problem]:
    if not isinstance(document.data, dict):
        yield document.problem((), *told("said_check.form"))
        return
    for word, ways in document.data.items():
        if not isinstance(ways, list):
            yield document.problem((word,), *told("said_check.list"))


def _checks(document: YamlDocument, known: Mapping[str, Collection[str] | None]) -> Iterator[Problem]:
    if not isinstance(document.data, dict):
        yield document.problem((), *told("said_check.form"))
        return
    for check, said in document.data.items():
        if check not in known:
            what = say("said_check.check", id=check)
            yield document.problem((check,), what, advice_for(str(check), list(known)), at_key=True)
        elif not isinstance(said, dict):
            yield document.problem((check,), *told("said_check.form"))
        else:
            yield from _said(document, str(check), said, known[check])


def _said(
    document: YamlDocument, check: str, said: Mapping[object, object], answers: Collection[str] | None
) -> Iterator[Problem]:
    claimed: dict[str, object] = {}
    for key, phrases in said.items():
        path = (check, key if isinstance(key, str | int) else str(key))
        is_number = as_number(key) is not None
        if key in _TRUTHS:
            if phrases not in (TRUE, "false"):
                yield document.problem(path, *told("said_check.truth"))
            continue
        if key not in FIELDS and not (is_number if answers is None else key in answers):
            what = say("said_check.answer", id=key)
            yield document.problem(path, what, advice_for(str(key), sorted((*(answers or ()), *FIELDS))), at_key=True)
        if not isinstance(phrases, list):
            yield document.problem(path, *told("said_check.list"))
            continue
        for place, phrase in enumerate(phrases):
            plain = " ".join(str(phrase).split()).casefold()
            if not isinstance(phrase, str | int) or not plain:
                yield document.problem((*path, place), *told("said_check.phrase"))
            elif key not in FIELDS and claimed.setdefault(plain, key) != key:
                yield document.problem((*path, place), *told("said_check.claimed", answer=claimed[plain]))

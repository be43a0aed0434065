"""What rules of several kinds say of answers that a field names, as `{unit_power: [lit]}`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from engine.foundation.problems import Problem, advice_for
from engine.foundation.texts import say
from engine.knowledge.catalogue import Folder, FormType, Placed, answers_of


def answers_are_known(
    folder: Folder, placed: Placed[FormType], name: str, said: Mapping[str, Sequence[str]]
) -> Iterator[Problem]:
    """Hold that a field names checks and their own answers. Args: the entry, the field's name, and what it says."""
    for check, answers in said.items():
        if folder.lacks("check", check):
            what = say("mistakes_rules.no_such.check", id=check)
            yield placed.problem((name, check), what, folder.advice(check, "check"), True)
        known = answers_of(folder, check) if check in folder.checks else None
        for index, answer in enumerate(answers):
            if known is not None and answer not in known:
                what = say("mistakes_rules.no_such.answer", answer=answer, check=check)
                yield placed.problem((name, check, index), what, advice_for(answer, known))

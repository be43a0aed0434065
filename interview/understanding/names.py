"""Which checks, repairs and questions of the start a line means by their names; pure."""

from __future__ import annotations

import re

from engine.foundation.texts import language_in_use, said
from engine.knowledge.model import Knowledge, Repair
from engine.session.availability import asked_checks
from engine.session.session import Session
from interview.understanding.matching import akin, in_plain_words, words_of

MOST_CHOICES = 8


def checks_named(knowledge: Knowledge, line: str) -> tuple[str, ...]:
    """The checks that a line names and says nothing else about."""
    if not _LAST or _LAST[0][0] is not knowledge or _LAST[0][1] != language_in_use():
        _LAST[:] = [(knowledge, language_in_use(), _called(knowledge))]
    return _LAST[0][2].get(in_plain_words(line), ())


_LAST: list[tuple[Knowledge, str, dict[str, tuple[str, ...]]]] = []
"""The catalogue last asked about, the language, and its names: they are put together once."""


def _called(knowledge: Knowledge) -> dict[str, tuple[str, ...]]:
    """The checks that go by a name or a wording as a whole, by its plain words."""
    called: dict[str, tuple[str, ...]] = {}
    for check in asked_checks(knowledge):
        said_so = (check.id, *check.names, check.wording.customer, check.wording.technician)
        for name in {in_plain_words(name) for name in said_so} - {""}:
            called[name] = (*called.get(name, ()), check.id)
    return called


def start_named(line: str) -> tuple[str, ...]:
    """The questions of the start that a line names."""
    plain = in_plain_words(line)
    return tuple(
        about
        for about, names in said("asking.set_up_names").items()
        if plain in (in_plain_words(name) for name in (about, *names.split(",")))
    )


def repairs_named(knowledge: Knowledge, line: str) -> tuple[tuple[str, ...], bool]:
    """The repairs that a line may mean, and whether each of its words is in the words of all of these.

    One whose whole name is the line is meant alone, though the words of others hold that name too.
    """
    plain = in_plain_words(line)
    exact = tuple(repair.id for repair in knowledge.repairs.values() if plain in _whole_names(repair))
    if len(exact) == 1:
        return exact, True
    typed = words_of(line)
    scores: dict[str, int] = {}
    for repair in knowledge.repairs.values():
        words = words_of(f"{repair.id} {repair.wording.customer} {repair.wording.technician}")
        scores[repair.id] = sum(any(akin(one, other) for other in words) for one in typed)
    best = max(scores.values(), default=0)
    found = tuple(name for name, score in scores.items() if score == best and best > 0)
    return found[:MOST_CHOICES], best == len(typed)


def _whole_names(repair: Repair) -> tuple[str, ...]:
    return tuple(map(in_plain_words, (repair.id, repair.wording.customer, repair.wording.technician)))


def parts_of(line: str) -> tuple[str, ...]:
    """What stands between commas."""
    return tuple(part.strip() for part in re.split(r"[,;]", line) if part.strip())


def lifted_by(session: Session, line: str) -> tuple[str, ...]:
    """Checks and repairs that could not be done and that a line names, by themselves or by what they need."""
    plain = in_plain_words(line)
    knowledge = session.knowledge
    found = []
    named = (*checks_named(knowledge, line), *_surely_repaired(knowledge, line))
    for about in dict.fromkeys((*session.job.cannot, *session.job.left)):
        check = knowledge.checks.get(about)
        needs = [check.needs] if check is not None and check.needs != "nothing" else []
        if plain in needs or about in named or plain == in_plain_words(about):
            found.append(about)
    return tuple(found)


def _surely_repaired(knowledge: Knowledge, line: str) -> tuple[str, ...]:
    names, whole = repairs_named(knowledge, line)
    return names if whole and len(names) == 1 else ()

"""Which checks, repairs and questions of the start a line means by their names; pure."""

from __future__ import annotations

import re

from engine.foundation.texts import said
from engine.knowledge.model import Knowledge
from engine.session.session import Session
from interview.understanding.normalize import without_accents

_WORD = re.compile(r"[^\W_]+")

MOST_CHOICES = 8


def checks_named(knowledge: Knowledge, line: str) -> tuple[str, ...]:
    """The checks that a line names and says nothing else about."""
    plain = " ".join(_words(line))
    return tuple(
        check.id
        for check in knowledge.checks.values()
        if plain
        and plain in (" ".join(_words(name)) for name in (check.id, *check.names, *_wordings(check.id, knowledge)))
    )


def start_named(line: str) -> tuple[str, ...]:
    """The questions of the start that a line names."""
    plain = " ".join(_words(line))
    return tuple(
        about
        for about, names in said("asking.set_up_names").items()
        if plain in (" ".join(_words(name)) for name in (about, *names.split(",")))
    )


def repairs_named(knowledge: Knowledge, line: str) -> tuple[tuple[str, ...], bool]:
    """The repairs that a line may mean, and whether each of its words is in the words of all of these."""
    typed = _words(line)
    scores: dict[str, int] = {}
    for repair in knowledge.repairs.values():
        words = _words(f"{repair.id} {repair.wording.customer} {repair.wording.technician}")
        scores[repair.id] = sum(any(_akin(one, other) for other in words) for one in typed)
    best = max(scores.values(), default=0)
    found = tuple(name for name, score in scores.items() if score == best and best > 0)
    return found[:MOST_CHOICES], best == len(typed)


def parts_of(line: str) -> tuple[str, ...]:
    """What stands between commas."""
    return tuple(part.strip() for part in re.split(r"[,;]", line) if part.strip())


def lifted_by(session: Session, line: str) -> tuple[str, ...]:
    """Checks and repairs that could not be done and that a line names, by themselves or by what they need."""
    plain = " ".join(_words(line))
    knowledge = session.knowledge
    found = []
    named = (*checks_named(knowledge, line), *_surely_repaired(knowledge, line))
    for about in dict.fromkeys((*session.job.cannot, *session.job.left)):
        check = knowledge.checks.get(about)
        needs = [check.needs] if check is not None and check.needs != "nothing" else []
        if plain in needs or about in named or plain == " ".join(_words(about)):
            found.append(about)
    return tuple(found)


def _surely_repaired(knowledge: Knowledge, line: str) -> tuple[str, ...]:
    names, whole = repairs_named(knowledge, line)
    return names if whole and len(names) == 1 else ()


def _wordings(check: str, knowledge: Knowledge) -> tuple[str, str]:
    wording = knowledge.checks[check].wording
    return wording.customer, wording.technician


def _words(text: str) -> list[str]:
    return _WORD.findall(without_accents(text).replace("_", " "))


def _akin(one: str, other: str) -> bool:
    """Whether two words are the same but for their endings: `cleaned` and `clean`."""
    short, long = sorted((one, other), key=len)
    return short == long or (len(short) >= 4 and long.startswith(short) and len(long) - len(short) <= 3)

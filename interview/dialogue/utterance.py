"""What a line says beside an answer, and how it is asked back where it may mean two things; pure."""

from __future__ import annotations

import datetime
import re
import unicodedata
from collections.abc import Sequence

from engine.findings.plausible import plausible_range
from engine.foundation.plain_text import cleaned
from engine.foundation.texts import say
from engine.knowledge.model import Check
from engine.session.session import Session
from interview.dialogue.history import name_of, value_words
from interview.dialogue.standing import title
from interview.messages import (
    Candidate,
    Choice,
    Fact,
    Heard,
    HeardFact,
    HeardUnclear,
    Question,
    Request,
    Unclear,
    Understood,
)
from interview.understanding.listening.listener import listen
from interview.understanding.matching import in_plain_words
from interview.understanding.names import MOST_CHOICES, checks_named
from interview.understanding.readiness import make_ready

NONE_OF_THESE = "none_of_these"
_LONGEST_LINE = 2000


def understood(session: Session, line: str, asked: str = "", today: datetime.date | None = None) -> Understood:
    """What a line states. Args: `asked`, the check whose question stands; `today`, from which times are told.

    A number that is hardly meant is offered and not taken; so is another complaint than the one that stands.
    """
    text = unicodedata.normalize("NFC", cleaned("; ".join(line.splitlines())))[:_LONGEST_LINE]
    job, knowledge = session.job, session.knowledge

    def plausible(check: Check) -> tuple[float, float]:
        return plausible_range(check, session.unit, knowledge.limits)

    make_ready(knowledge)
    found = listen(text, knowledge, plausible, asked, today)
    facts: list[Fact] = []
    unclear = list(found.unclear)
    if job.role is None and all(fact.check != "role" for fact in found.facts):
        facts += _place_in_front(session, text)
    named = _trouble_by_name(session, text) if job.complaint is None else []
    if named:
        # Its own name says a trouble for certain, whatever else the same words may mean.
        unclear = [item for item in unclear if all(each.check != "complaint" for each in item.candidates)]
    for fact in found.facts:
        if named and fact.check == "complaint":
            continue
        if fact.check == "role" and job.role not in (None, fact.value):
            continue
        other = fact.check == "complaint" and job.complaint not in (None, fact.value)
        if other or _is_doubtful(session, fact):
            unclear.append(Unclear(fact.text, (Candidate(fact.check, fact.value),)))
        else:
            facts.append(fact)
    return Understood((*facts, *named), tuple(unclear))


def _place_in_front(session: Session, line: str) -> list[Fact]:
    """The place that stands by itself before a line, as people head a note: `phone: no flow`."""
    head = re.split("[,:;.]", line, maxsplit=1)[0].strip()
    for role in session.knowledge.roles.values():
        if in_plain_words(head) in map(in_plain_words, (role.id, role.wording.customer, role.wording.technician)):
            return [Fact("role", role.id, head)]
    return []


def _trouble_by_name(session: Session, line: str) -> list[Fact]:
    """The trouble, where a part of a line is one's name and no more: `dead, cell age 3`."""
    parts = {in_plain_words(part): part.strip() for part in re.split("[,:;.]", line) if "?" not in part}
    trees = session.knowledge.trees.values()
    named = [(tree.id, parts[name]) for tree in trees for name in map(in_plain_words, tree.names) if name in parts]
    return [Fact("complaint", *named[0])] if len({tree for tree, _ in named}) == 1 else []


def _is_doubtful(session: Session, fact: Fact) -> bool:
    """Whether a number can be, and is hardly meant. Nothing at all is a common and deliberate answer."""
    check = session.knowledge.checks.get(fact.check)
    if check is None or not isinstance(fact.value, float) or fact.value == 0 or not check.is_number:
        return False
    low, high = plausible_range(check, session.unit, session.knowledge.limits)
    return not low <= fact.value <= high


def said_beside(session: Session, line: str, asked: str = "", today: datetime.date | None = None) -> Request | None:
    """A line that is no answer as something said, where it states something, may do so, or names a check."""
    found = understood(session, line, asked, today)
    # A bare number at a question of choices is rather a slip than half of a fact.
    may = not line[:1].isdecimal() and bool(found.unclear)
    if found.facts or may or checks_named(session.knowledge, line):
        return Request("say", line, found)
    return None


def heard(session: Session, found: Understood) -> Heard:
    """What was understood, in the words that a front end shows."""
    facts = tuple(_in_words(session, fact.check, fact.value) for fact in found.facts)
    unclear = tuple(
        HeardUnclear(item.text, tuple(_in_words(session, each.check, each.value) for each in item.candidates))
        for item in found.unclear
    )
    return Heard(facts, unclear)


def _in_words(session: Session, check: str, value: str | float | None) -> HeardFact:
    words = "" if value is None else value_words(session, check, value)
    return HeardFact(check, value, name_of(session, check), words)


def which(session: Session, said: str, names: Sequence[str]) -> Question:
    """Ask back which of several checks or repairs was meant."""
    choices = tuple(Choice(name, title(session, name)) for name in names[:MOST_CHOICES])
    none = Choice(NONE_OF_THESE, say("heeding.none_of_these"))
    return Question("set_up", "which", say("heeding.which", said=said), (*choices, none), harmless=True)


def meant(session: Session, item: Unclear) -> Question:
    """Ask back what a line may state: each with its answer, by one key; an empty line passes over it.

    A choice's id is its number as the screen shows it: another number there would be taken for it.
    """
    offered = [_in_words(session, each.check, each.value) for each in item.candidates]
    choices = tuple(Choice(str(number), f"{each.name}: {each.words}") for number, each in enumerate(offered, start=1))
    none = Choice(NONE_OF_THESE, say("heeding.none_of_these"))
    text = say("heeding.meant", said=item.text)
    return Question("set_up", "meant", text, (*choices, none), harmless=True, passes=NONE_OF_THESE)

"""Dangers of a job: what was reported, when it was made safe, and who found it safe to go on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal, get_args

from engine.knowledge.model import DANGER_CHECK, Knowledge, RoleId
from engine.knowledge.properties import DangerKind
from engine.session.journal import Event

Clearer = Literal["electrician", "technician", "emergency"]
"""Who finds a danger safe: a licensed electrician, the technician who removed its cause, the emergency services."""
CLEARERS: Final[tuple[Clearer, ...]] = get_args(Clearer)


@dataclass(frozen=True)
class Cleared:
    """That a danger is over: when, by whom, and what was found or done, in their words. Times are UTC in ISO 8601."""

    at: str
    by: str
    how: str


@dataclass(frozen=True)
class Report:
    """A danger as it was reported: by an answer to the check `about`, when, and the words typed.

    `made_safe` is when people were away and it was off or left alone; empty as long as that was not said. `in_words`
    where it was told of beside the questions, so that no other danger, answered to the question for it, replaces it.
    """

    danger: str
    about: str
    at: str
    text: str = ""
    made_safe: str = ""
    cleared: Cleared | None = None
    in_words: bool = False


def may_clear(kind: DangerKind, role: RoleId | None) -> tuple[Clearer, ...]:
    """Who may find a danger of this kind safe, as told by a person in this role: a judgement on the safe side.

    Current is a licensed electrician's; at the pool also the technician's who found the cause and removed it.
    """
    if kind == "electric":
        return ("electrician", "technician") if role == "field" else ("electrician",)
    return ("technician", "emergency")


def answered(reports: Sequence[Report], event: Event, knowledge: Knowledge) -> list[Report]:
    """The reports once a check has this answer: what it said before is withdrawn, what it says now is added.

    What was made safe and found safe stays, as it was found; that nobody has looked withdraws nothing. What was told of
    in words is withdrawn by the answer that there is none, and by no other danger.
    """
    check = knowledge.checks.get(event.about)
    if check is not None and check.meaning(event.value) == "not_looked_for":
        return list(reports)
    danger = None if check is None else check.danger_of(event.value)
    stand = [
        each
        for each in reports
        if each.cleared or each.about != event.about or each.danger == danger or (each.in_words and danger is not None)
    ]
    return stand if danger is None else _one_more(stand, Report(danger, event.about, event.at, event.text))


def told_of(reports: Sequence[Report], event: Event) -> list[Report]:
    """The reports once a danger was told of in words, beside the questions."""
    return _one_more(reports, Report(event.about, DANGER_CHECK, event.at, event.text, in_words=True))


def _one_more(reports: Sequence[Report], report: Report) -> list[Report]:
    """The reports with one more; a danger that stands already is not reported twice."""
    stands = any(each.danger == report.danger and not each.cleared for each in reports)
    return list(reports) if stands else [*reports, report]


def made_safe(reports: Sequence[Report], event: Event) -> list[Report]:
    """The reports once a danger was made safe, the one that the event names or else all.

    A supply that was switched off for work makes no danger safe.
    """
    if event.about != DANGER_CHECK:
        return list(reports)
    return [
        each
        if each.made_safe or each.cleared or event.value not in (None, each.danger)
        else replace(each, made_safe=event.at)
        for each in reports
    ]


def cleared(reports: Sequence[Report], event: Event, knowledge: Knowledge, role: RoleId | None) -> list[Report]:
    """The reports once a danger was found safe; left as they are where it was not made safe, or by whom may not say."""
    danger = knowledge.dangers.get(event.about)
    if danger is None or event.value not in may_clear(danger.kind, role):
        return list(reports)
    over = Cleared(event.at, str(event.value), event.text)
    return [
        replace(each, cleared=over) if each.danger == event.about and each.made_safe and not each.cleared else each
        for each in reports
    ]


def withdrawn(events: Iterable[Event], knowledge: Knowledge, stand: Sequence[Report]) -> tuple[Report, ...]:
    """Dangers that were reported at first and are none of those that `stand`: corrected, or taken back.

    Args: `events`, all of them, also those that were taken back.
    """
    found: dict[str, Report] = {}
    for event in events:
        danger: str | None = None
        if event.kind == "danger_reported":
            danger = event.about
        elif event.kind in ("answered", "corrected") and event.about in knowledge.checks:
            danger = knowledge.checks[event.about].danger_of(event.value)
        if danger is not None:
            found.setdefault(danger, Report(danger, event.about, event.at, event.text))
    named = {each.danger for each in stand}
    return tuple(report for danger, report in found.items() if danger not in named)

"""What a job sheet says, as frozen records: all that a template, or any later form of the sheet, reads."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any, Literal

from engine.model import RoleId

__all__ = [
    "Action",
    "Advice",
    "Amount",
    "CauseLine",
    "CautionLine",
    "ConflictLine",
    "DecisionLine",
    "DerivedLine",
    "DoneLine",
    "FoundLine",
    "Head",
    "JobView",
    "NotDone",
    "PartLine",
    "PlanLine",
    "Unknown",
    "Weight",
    "When",
    "view_data",
]


When = Literal["first", "also", "otherwise"]


@dataclass(frozen=True)
class Head:
    """Whose job this is. `opened` is the fingerprint of the knowledge it was opened with, where that is another one."""

    shop: str
    date: str
    job: str
    role: str
    unit: str
    unit_assumed: bool
    complaint: str
    brought: tuple[str, ...]
    knowledge: str
    opened: str


@dataclass(frozen=True)
class FoundLine:
    """One answer: what was asked, what was said, how a number is judged, who or what gave it, what was typed.

    `counted_in` names the derived finding that a reading went into; there it speaks, and not for itself. `left` tells
    an answer given after a repair from one found before it.
    """

    check: str
    asked: str
    said: str
    verdict: str
    given_by: str
    typed: str
    unit_says: str
    counted_in: str
    left: bool


@dataclass(frozen=True)
class DerivedLine:
    """A finding worked out from readings: what it says, the figure behind it, from what, and what was assumed."""

    finding: str
    about: str
    said: str
    figure: str
    readings: tuple[str, ...]
    assumed: tuple[str, ...]


@dataclass(frozen=True)
class Weight:
    """What one finding says for a cause (decibans above 0) or against it (below)."""

    finding: str
    said: str
    decibans: float
    strength: str


@dataclass(frozen=True)
class CauseLine:
    """A cause, how probable it is, and the answers for and against it, heaviest first; something else has none."""

    cause: str
    text: str
    probability: float
    chance: str
    speaks_for: tuple[Weight, ...] = ()
    speaks_against: tuple[Weight, ...] = ()


@dataclass(frozen=True)
class ConflictLine:
    """Answers that hardly go together: the ones to check again, and how much rarer they are together than apart."""

    again: tuple[str, ...]
    times_rarer: float


@dataclass(frozen=True)
class Amount:
    """How much of a thing: in words, how it was worked out, and what is missing where it cannot be."""

    text: str
    working: str = ""
    missing: tuple[str, ...] = ()


@dataclass(frozen=True)
class PlanLine:
    """One line of the maintenance plan: what for, and when or how much."""

    about: str
    amount: Amount


@dataclass(frozen=True)
class Action:
    """One remedy in the order of work.

    `when` is first, also (as both faults are likely there at once) or otherwise (only if the one before did not help).
    `who` may do it; `by` is what this role decides about it. `takes` are its parts and products with their amounts,
    `amounts` what else was worked out for it; `helps` are the causes that it cures.
    """

    repair: str
    title: str
    by: str
    decision: str
    who: tuple[str, ...]
    minutes: int
    plant: str
    when: When
    lead: str
    steps: tuple[str, ...]
    done_when: str
    probability: float
    helps: tuple[str, ...]
    takes: tuple[str, ...]
    amounts: tuple[Amount, ...]
    result_shows: str


@dataclass(frozen=True)
class PartLine:
    """A part or product: how much, which work it is for, whether it is only for a later remedy, where it comes from."""

    part: str
    name: str
    amount: Amount
    work: str
    later: bool
    source: str
    before_ordering: str


@dataclass(frozen=True)
class CautionLine:
    """A caution with its signal word."""

    caution: str
    signal: str
    text: str


@dataclass(frozen=True)
class Unknown:
    """What was not known and would help: what to find out, how, and why it was not done where that was said."""

    check: str
    asked: str
    how: str
    reason: str


@dataclass(frozen=True)
class NotDone:
    """What could not be done, and why."""

    asked: str
    reason: str


@dataclass(frozen=True)
class DoneLine:
    """A repair that was done or tried in this job, or before it, and what came of it."""

    repair: str
    title: str
    outcome: str
    verified: str


@dataclass(frozen=True)
class DecisionLine:
    """What is decided: in a heading, for the customer or technician, for the shop's staff, and why."""

    decision: str
    title: str
    text: str
    shop: str
    why: tuple[str, ...]


@dataclass(frozen=True)
class Advice:
    """Everything that is told and not done: until then, hands off, when to come back, whose rules win."""

    first: tuple[str, ...]
    meanwhile: tuple[str, ...]
    hands_off: tuple[str, ...]
    come_back: tuple[str, ...]
    local_code: tuple[str, ...]


@dataclass(frozen=True)
class JobView:
    """A whole job, ready to be printed for `voice`. `keep_away`: nobody is to be sent to the pool before it is safe."""

    voice: RoleId
    head: Head
    danger: str
    keep_away: bool
    solved: bool
    cut_short: tuple[str, ...]
    decision: DecisionLine
    causes: tuple[CauseLine, ...]
    together: tuple[str, ...]
    found: tuple[FoundLine, ...]
    derived: tuple[DerivedLine, ...]
    conflict: ConflictLine | None
    actions: tuple[Action, ...]
    parts: tuple[PartLine, ...]
    cautions: tuple[CautionLine, ...]
    advice: Advice
    would_help: tuple[Unknown, ...]
    not_known: tuple[str, ...]
    not_done: tuple[NotDone, ...]
    done: tuple[DoneLine, ...]
    plan: tuple[PlanLine, ...]
    notes: tuple[str, ...]


def view_data(view: JobView) -> dict[str, Any]:
    """The view as plain data: dictionaries, lists, texts, numbers, truth values and None."""
    return asdict(view)

"""What a job sheet says, as frozen records: all that a template, or any later form of the sheet, reads."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any

from engine.knowledge.model import RoleId
from engine.knowledge.properties import Occasion
from engine.treatment.at_home import HomeWork
from engine.treatment.order_of_work import When
from reports.view.bill import Record
from reports.view.drawn import GaugeLine, Movement


@dataclass(frozen=True)
class Head:
    """Whose job this is. `opened` is the fingerprint of the knowledge it was opened with, where that is another one.

    `shop` is the shop's name; what it has not told of itself is empty.
    """

    shop: str
    telephone: str
    address: str
    licence: str
    hours: str
    closing: str
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
    an answer given after a repair from one found before it. `limits` is what an instrument should show on this unit.
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
    limits: str


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
    """A cause, how probable it is, and the answers for and against it, heaviest first; something else has none.

    `place` is where in the path of the water or the power it sits, one of the
    `PLACES` of `engine.knowledge.model`; empty for nowhere.
    """

    cause: str
    text: str
    probability: float
    chance: str
    speaks_for: tuple[Weight, ...] = ()
    speaks_against: tuple[Weight, ...] = ()
    place: str = ""


@dataclass(frozen=True)
class ConflictLine:
    """The answer that goes least with the others, and how many times better these go with another one."""

    again: tuple[str, ...]
    times_rarer: float


@dataclass(frozen=True)
class Amount:
    """How much of a thing: in words, how it was worked out, what is missing for it, and what to mind with it."""

    text: str
    working: str = ""
    missing: tuple[str, ...] = ()
    care: str = ""


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
    `amounts` what else was worked out for it; `helps` are the causes that it cures. `keeps_unit_off` where the
    unit rests until it is done.
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
    keeps_unit_off: bool


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
    """A caution with its signal word, whole or in a line, and `in_short` for where a paper opens.

    Not `owed` is what only may matter, and is told beside what is done; `later` what only goes with work that may come.
    """

    caution: str
    signal: str
    text: str
    owed: bool = True
    in_short: str = ""
    later: bool = False


@dataclass(frozen=True)
class Unknown:
    """What was not known and would help: what to find out, how, and why it was not done where that was said."""

    check: str
    asked: str
    how: str
    reason: str


@dataclass(frozen=True)
class WaitingLine:
    """Something done later, away from this visit, and then told: its check or repair, how, and when it will be.

    `kind` is check, repair or result. `first` tells that nothing should be bought or sent before it is known. `text` is
    the line as it is printed.
    """

    kind: str
    about: str
    how: str
    when: str
    first: bool
    text: str


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
    """What is decided: in a heading, for the customer or technician, for the shop's staff, and why.

    `shop_bare` is told to the staff where nothing is sold.
    """

    decision: str
    title: str
    text: str
    shop: str
    shop_bare: str
    why: tuple[str, ...]


@dataclass(frozen=True)
class Advice:
    """Everything that is told and not done: danger first, then what to do first and what need not be, until then.

    `opening` is the first thing to do in one sentence, with its amount; `likelier` that it is for another cause than
    the likeliest, or empty; `answers` what need not be bought or done today, `by_hand` how much chlorine goes in by
    hand until others have done the work. `bathing` says before what nobody swims,
    where a pool may be opened by a test; `stays_off` what keeps the plant off; `meanwhile` holds both. `water` are
    tests that are not as they should be, each with its dose, in the order in which they are put right; they end
    `meanwhile` too, and once it is solved are what is left to do. `days` are those of `come_back`, ISO 8601.
    """

    first: tuple[str, ...]
    opening: str
    likelier: str
    answers: tuple[str, ...]
    by_hand: str
    bathing: str
    stays_off: str
    water: tuple[str, ...]
    meanwhile: tuple[str, ...]
    hands_off: tuple[str, ...]
    come_back: tuple[str, ...]
    days: tuple[str, ...]
    local_code: tuple[str, ...]


@dataclass(frozen=True)
class Home:
    """What a customer is to do at home, and what goes with it.

    `work`: nothing; the steps of the first action; take the cell out and bring it, or fit the spool in its place where
    it is at the shop; take the power pack off and bring it; or leave it as it is until somebody comes (`steps` then
    tells whether the first action has steps for the customer's part of that).
    `waits`: all that was put off is the customer's to do. `cautions` are those of exactly this, gravest first, and
    `cautions_without_steps` those that stay owed where such steps are not told; `in_a_line` and
    `in_a_line_without_steps` are told in one line. `parts` are the ids of what the customer takes home, `beside_dose`
    of the cautions that go with a dose of chlorine by hand alone.
    """

    work: HomeWork
    steps: bool
    cautions: tuple[CautionLine, ...]
    cautions_without_steps: tuple[CautionLine, ...]
    in_a_line: tuple[CautionLine, ...]
    in_a_line_without_steps: tuple[CautionLine, ...]
    parts: tuple[str, ...]
    waits: bool
    beside_dose: tuple[str, ...]


@dataclass(frozen=True)
class Packing:
    """What a visit takes along: parts by id with where they are now, kinds of instruments, gear, checks still to do.

    `needs` are the needs of the work and of those checks; `gear` the ids of the cautions that the work carries,
    `occasions` those for which it carries every one, each of which may ask for things of its own.
    """

    visit: bool
    parts: tuple[tuple[str, str], ...]
    needs: tuple[str, ...]
    gear: tuple[str, ...]
    occasions: tuple[Occasion, ...]
    checks: tuple[str, ...]


@dataclass(frozen=True)
class JobView:
    """A whole job, ready to be printed for `voice`.

    `danger` is what stands, or what is asked first where nobody has looked; `danger_record` what became of all that was
    reported. `keep_away`: nobody is to be sent to the pool before it is safe; `may_infect`: somebody got ill after
    bathing, and no test lets anybody in again.
    """

    voice: RoleId
    head: Head
    danger: str
    danger_record: tuple[str, ...]
    keep_away: bool
    may_infect: bool
    solved: bool
    cut_short: tuple[str, ...]
    decision: DecisionLine
    causes: tuple[CauseLine, ...]
    together: tuple[str, ...]
    found: tuple[FoundLine, ...]
    to_read: tuple[FoundLine, ...]
    derived: tuple[DerivedLine, ...]
    conflict: ConflictLine | None
    firm: str
    actions: tuple[Action, ...]
    parts: tuple[PartLine, ...]
    cautions: tuple[CautionLine, ...]
    in_a_line: tuple[CautionLine, ...]
    advice: Advice
    would_help: tuple[Unknown, ...]
    waiting: tuple[WaitingLine, ...]
    not_known: tuple[str, ...]
    not_done: tuple[NotDone, ...]
    done: tuple[DoneLine, ...]
    plan: tuple[PlanLine, ...]
    notes: tuple[str, ...]
    home: Home
    packing: Packing
    movement: Movement | None = None
    gauges: tuple[GaugeLine, ...] = ()
    record: Record = field(default_factory=Record)


def view_data(view: JobView) -> dict[str, Any]:
    """The view as plain data: dictionaries, lists, texts, numbers, truth values and None."""
    return asdict(view)

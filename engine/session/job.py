"""The state of one job: what its events amount to, and which of them stand."""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass, field
from typing import Literal

from engine.findings.evidence import Observation
from engine.knowledge.model import DANGER_CHECK, Part, RoleId
from engine.session.danger import Report
from engine.session.journal import Event

SET_UP = ("role", "unit", "complaint", "brought")
"""What is settled before the tree opens; events carry these in `about`."""

PlantState = Literal["running", "isolated", "off", "unknown"]
"""`isolated`: off, locked and proved dead in this visit. `off`: off and not proved dead in it. `unknown`: not asked."""


@dataclass(frozen=True)
class Answered:
    """One answer with what the person typed and when."""

    check: str
    reading: Observation
    text: str
    at: str


@dataclass
class Job:
    """The state of a job. Only `replay` writes it; everybody else reads.

    `waiting` holds what is done later, away from this visit, with when: checks, repairs, and repairs already done
    whose result shows later. `plant` holds for this visit only; `left_as` is how a visit leaves it, `on` or `off`.
    `parts_found` is what was said of parts that the van usually lacks, on the day of the last event.
    `asked` are the checks that were put to the person and had their turn, without what was told in a line of its own.
    `read` are all the readings of a check since it was last put right, as it may be read again; the one that counts is
    in `answers`. `read_no_more` are those that nobody could read once more.
    `mended` are the checks whose finding was repaired since, `stale` the answers from before a repair of them.
    `danger_said`: the question for danger was answered, `danger_unsaid` by don't know, `danger_unlooked` by that nobody
    has looked, `no_danger_untrue` where it was answered by none before one was told of elsewhere. `reports` are the
    dangers, also those that were found safe since; `but_for_danger` where a job in danger is looked at as if there were
    none, so that only what is harmless is asked.
    `set_aside` holds events that the knowledge can make nothing of; what they say is a note.
    """

    id: str = ""
    fingerprint: str = ""
    role: RoleId | None = None
    unit: str | None = None
    unit_assumed: bool = True
    complaint: str | None = None
    brought: tuple[str, ...] = ()
    brought_said: bool = False
    danger_said: bool = False
    danger_unsaid: bool = False
    danger_unlooked: bool = False
    no_danger_untrue: bool = False
    reports: list[Report] = field(default_factory=list)
    but_for_danger: bool = False
    plant: PlantState = "running"
    left_as: str | None = None
    mended: set[str] = field(default_factory=set)
    parts_found: dict[str, Event] = field(default_factory=dict)
    answers: dict[str, Answered] = field(default_factory=dict)
    stale: dict[str, Answered] = field(default_factory=dict)
    read: dict[str, tuple[Answered, ...]] = field(default_factory=dict)
    read_no_more: set[str] = field(default_factory=set)
    unknown: list[str] = field(default_factory=list)
    cannot: dict[str, str] = field(default_factory=dict)
    barred: dict[str, str] = field(default_factory=dict)
    asked: list[str] = field(default_factory=list)
    repaired: dict[str, str] = field(default_factory=dict)
    verified: dict[str, str] = field(default_factory=dict)
    awaiting: str | None = None
    waiting: dict[str, str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    set_aside: list[Event] = field(default_factory=list)
    decision: str | None = None
    closed: bool = False

    def copied(self) -> Job:
        """A job of its own with all that this one holds; what is held never changes."""
        other = copy(self)
        for name, value in vars(self).items():
            if isinstance(value, dict | list | set):
                setattr(other, name, value.copy())
        return other

    @property
    def questions(self) -> int:
        """How many checks were put to the person; one that was read again counts each time."""
        again = sum(len(read) - 1 for check, read in self.read.items() if check != DANGER_CHECK)
        return len(self.asked) + again

    @property
    def danger_open(self) -> bool:
        """Whether nothing has been said of danger yet."""
        return not (self.danger_said or self.danger_unsaid)

    @property
    def standing(self) -> tuple[Report, ...]:
        """The dangers that nobody has found safe yet, first reported first."""
        return tuple([report for report in self.reports if report.cleared is None])

    @property
    def danger(self) -> str | None:
        """The danger to be met now: of those that stand the first one not made safe, else the first; None for none."""
        if not (standing := self.standing):
            return None
        return next((each for each in standing if not each.made_safe), standing[0]).danger

    @property
    def made_safe(self) -> bool:
        """Whether danger stands, and all of it was made safe."""
        return bool(self.standing) and all(report.made_safe for report in self.standing)

    @property
    def readings(self) -> Mapping[str, Observation]:
        """The answers as the engine reads them.

        That nobody looked for danger tells nothing, nor that there is none once one was told of elsewhere.
        """
        silent = self.danger_unlooked or self.no_danger_untrue
        told = [check for check in self.answers if check != DANGER_CHECK or not silent]
        return {check: self.answers[check].reading for check in told}

    @property
    def parts_here(self) -> tuple[str, ...]:
        """Parts that the van usually lacks and has today."""
        return tuple(name for name, said in self.parts_found.items() if said.value == "here")

    def has_part(self, part: Part) -> bool:
        """Whether a part is in the van: as was said today, else as usual."""
        said = self.parts_found.get(part.id)
        return part.in_van if said is None else said.value == "here"

    @property
    def failed(self) -> tuple[str, ...]:
        """Repairs that were done, now or before, and did not help."""
        return tuple(repair for repair, outcome in self.verified.items() if outcome == "not_helped")

    @property
    def left(self) -> tuple[str, ...]:
        """Repairs that this visit cannot do: not possible, not to be switched off for, or by a technician not done."""
        outcomes = ("could_not", "not_done") if self.role == "field" else ("could_not",)
        return (*(repair for repair, outcome in self.repaired.items() if outcome in outcomes), *self.cannot)

    def settled(self, check: str) -> bool:
        """Whether a check has had its turn: answered, not known, impossible, or done later."""
        return check in self.answers or check in self.unknown or check in self.cannot or check in self.waiting

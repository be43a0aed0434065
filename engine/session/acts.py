"""What an interview gives out: the next act, ranked causes, remedies in order, and what is done later; plain data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from engine.strategy.costs import Remedy

ActKind = Literal[
    "set_up",
    "ask",
    "isolate",
    "switch_on",
    "make_safe",
    "perform",
    "verify",
    "conclude",
    "find_plant",
    "leave_plant",
    "find_part",
]


@dataclass(frozen=True)
class Act:
    """What should happen next, as data; a front end carries it out and records the outcome as an event.

    set_up: settle `about` (role, unit, complaint, brought), one of `options`. ask: put the check `about`.
    isolate, switch_on: bring the supply to that state first, for the check `about`, or for `plant`: it stays off.
    find_plant: ask what state the supply is in, as nobody knows in this visit. leave_plant: settle how the visit leaves
    it, one of `options`. find_part: ask whether the part `about` is in the van, for `repair`.
    make_safe: keep people out of the danger `about`, and make it safe. perform, verify: the repair `about`.
    conclude: the decision `about`, by the repair `repair` where there is one; `why` is one of settled, limit,
    no_check_pays, danger, solved, waiting, not_done, kept_off.
    """

    kind: ActKind
    about: str
    cautions: tuple[str, ...] = ()
    options: tuple[str, ...] = ()
    repair: str | None = None
    why: str = ""


@dataclass(frozen=True)
class RankedCause:
    """A cause, the probability that it is present, and each finding's weight for it in decibans, heaviest first."""

    cause: str
    probability: float
    decibans: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Waiting:
    """Something that is done later, away from this visit, and then told: a check, a repair, or a repair's result.

    `when` is what was said of when. `worth` is the minutes that are saved by waiting for a check's answer before
    anything else is done, after the wait and the question are paid; above 0 it pays. None for a repair and a result.
    """

    kind: Literal["check", "repair", "result"]
    about: str
    when: str
    worth: float | None = None


@dataclass(frozen=True)
class RemedyShare:
    """A remedy in the order of work, and the probability that the fault is (or includes) one it cures."""

    remedy: Remedy
    probability: float
    causes: tuple[str, ...]

"""Which remedies are laid out on a sheet, in which order, and when each is done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from engine.knowledge.model import Repair, RoleId
from engine.session.acts import RemedyShare
from engine.session.deciding import BOTH_SHARE, both_share
from engine.session.outcome import JobOutcome
from engine.strategy.costs import decision_for

When = Literal["first", "also", "otherwise"]
_ORDER: tuple[When, ...] = ("first", "also", "otherwise")

_LAID_OUT: Mapping[RoleId, tuple[int, float]] = {"counter": (3, 0.15), "phone": (3, 0.15), "field": (4, 0.10)}
"""How many remedies are laid out at most, and from which probability on beside the first: judgement."""


@dataclass(frozen=True)
class LaidOut:
    """A repair on a sheet, what is decided about it, when it is done, and how likely it is the right one, 0 to 1."""

    repair: str
    decision: str
    when: When
    probability: float


def order_of_work(outcome: JobOutcome, voice: RoleId) -> tuple[LaidOut, ...]:
    """The remedies in the order of work: what was decided first, then what is likely enough to be laid out beside it.

    None where the job is solved or ended in danger: then there is nothing of this kind to do.

    Args:
        outcome: the job and what it came to.
        voice: whose sheet it is.
    """
    if not outcome.judges or outcome.conclusion.solved:
        return ()
    done = {repair for repair, result in outcome.job.repaired.items() if result == "done"}
    shares = {share.remedy.repair: share for share in outcome.judged.remedies() if share.remedy.repair not in done}
    first = outcome.conclusion.repair
    most, worth_doing = _LAID_OUT[voice]
    chosen = [repair for repair, share in shares.items() if repair == first or share.probability >= worth_doing]
    if first is not None and first not in done and first not in chosen:
        chosen.append(first)
    when = {repair: _when(outcome, repair) for repair in chosen}
    ordered = sorted(chosen, key=lambda repair: _ORDER.index(when[repair]))
    return tuple(_laid_out(outcome, name, when[name], shares.get(name)) for name in ordered[:most])


def _laid_out(outcome: JobOutcome, name: str, when: When, share: RemedyShare | None) -> LaidOut:
    decision = _decision(outcome, outcome.knowledge.repairs[name], when, share)
    return LaidOut(name, decision, when, share.probability if share is not None else 0.0)


def _when(outcome: JobOutcome, name: str) -> When:
    """Whether a remedy comes first, goes with it as both faults are likely there at once, or stands in for it.

    Where none was decided on, none comes first.
    """
    first = outcome.conclusion.repair
    if first is None:
        return "otherwise"
    if name == first:
        return "first"
    repairs = outcome.knowledge.repairs
    return "also" if both_share(outcome.judged, repairs[name], repairs[first]) >= BOTH_SHARE else "otherwise"


def _decision(outcome: JobOutcome, repair: Repair, when: When, share: RemedyShare | None) -> str:
    if repair.id == outcome.conclusion.repair:
        return outcome.conclusion.decision
    if when == "also" and outcome.conclusion.decision == "repair_here":
        # What it waits for is mended on this visit: only a part that is not there puts it off.
        return decision_for(repair, outcome.session.role, outcome.knowledge, outcome.job.parts_here)
    return share.remedy.decision if share is not None else decision_for(repair, outcome.session.role, outcome.knowledge)

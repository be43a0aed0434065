"""What the customer does at home: the work, exactly its cautions, and what is taken home for it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from engine.knowledge.hazards import LIFTING_CELL
from engine.knowledge.properties import Occasion, PartUse
from engine.session.decisions import ON_THE_BENCH, OWN_WORK
from engine.session.outcome import JobOutcome
from engine.treatment.cautions import Concerns, PaperCautions, owners_cautions
from engine.treatment.order_of_work import LaidOut

HomeWork = Literal["none", "steps", "bring_cell", "fit_spool", "bring_pack", "leave"]
_LETS: Mapping[HomeWork, tuple[Occasion, ...]] = {
    "none": (),
    "steps": (),
    "bring_cell": (*LIFTING_CELL, "cleaning"),
    # The cell itself is at the shop: no gas of it is left in the open pipe.
    "fit_spool": ("isolating", "opening"),
    # Its plug is on the mains.
    "bring_pack": ("isolating", "mains"),
    "leave": (),
}
"""What each kind of work lets the customer do beside the steps that are told."""


@dataclass(frozen=True)
class AtHome:
    """What a customer is to do at home, and what goes with it.

    `work`: nothing; the steps of the first repair; take the cell out and bring it, or fit the spool in its place where
    it is at the shop; take the power pack off and bring it; or leave it as it is until somebody comes (`steps` then
    tells whether the first repair has steps for the customer's part of that).
    `cautions` are those of exactly this, and `cautions_without_steps` those that stay owed where such
    steps are not told; `parts` are the ids of what the customer takes home, `beside_dose` the
    cautions that go with a dose of chlorine by hand alone, and with nothing of the work.
    """

    work: HomeWork
    steps: bool
    cautions: PaperCautions
    cautions_without_steps: PaperCautions
    parts: tuple[str, ...]
    beside_dose: frozenset[str]


def at_home(outcome: JobOutcome, laid_out: Sequence[LaidOut], about: Concerns) -> AtHome:
    """What the customer is to do, with exactly the cautions of that.

    Args:
        outcome: the job and what it came to.
        laid_out: the repairs on the sheet, first one first.
        about: what the job touches on.
    """
    work = _work(outcome, laid_out, about)
    steps = work == "steps" or (work == "leave" and _has_a_part(outcome, laid_out[0], about))
    first = [outcome.knowledge.repairs[laid_out[0].repair]] if steps else []
    cautions, fewer = (owners_cautions(outcome, done, _LETS[work], about) for done in (first, []))
    undosed = owners_cautions(outcome, first, _LETS[work], replace(about, by_hand=False, thinned_first=False))
    told, of_work = ({line.id for line in (*each.whole, *each.in_a_line)} for each in (cautions, undosed))
    taken_home = tuple(_taken_home(outcome, laid_out, about, work))
    return AtHome(work, steps, cautions, fewer, taken_home, frozenset(told - of_work))


def _work(outcome: JobOutcome, laid_out: Sequence[LaidOut], about: Concerns) -> HomeWork:
    decision = outcome.conclusion.decision
    if not outcome.judges or outcome.conclusion.solved or outcome.conclusion.why == "unverified":
        return "none"
    if about.keep_away:
        # Nobody works at a plant that may be live; all that is for the time after it has been called safe.
        return "leave" if laid_out else "none"
    if decision == "bring_cell":
        return "fit_spool" if "cell" in outcome.job.brought else "bring_cell"
    if decision == "bring_pack":
        return "bring_pack"
    if decision in OWN_WORK and laid_out and _is_owners(outcome, laid_out[0]):
        return "steps"
    return "leave" if laid_out else "none"


def _has_a_part(outcome: JobOutcome, first: LaidOut, about: Concerns) -> bool:
    """Whether work that others come to do has steps for the customer; where all keep away, the electrician's."""
    if about.keep_away and outcome.conclusion.decision != "call_electrician":
        return False
    if outcome.conclusion.decision == "repair_here":
        # Whoever does the work stands at the pool.
        return False
    if ON_THE_BENCH & set(outcome.knowledge.repairs[first.repair].decision.values()):
        # Its steps take something off and bring it to the shop: nobody does that who waits for a visit or a price.
        return False
    return first.decision == outcome.conclusion.decision and not _is_owners(outcome, first)


def _is_owners(outcome: JobOutcome, work: LaidOut) -> bool:
    return "owner" in outcome.knowledge.repairs[work.repair].who


def _taken_home(outcome: JobOutcome, laid_out: Sequence[LaidOut], about: Concerns, work: HomeWork) -> Iterator[str]:
    """Parts and products that the customer needs for what the sheet tells to do."""
    if work == "steps":
        sold = [item for item in laid_out if item == laid_out[0] or (item.when == "also" and item.decision in OWN_WORK)]
        yield from (need.part for item in sold for need in outcome.knowledge.repairs[item.repair].parts)
    uses: list[PartUse] = ["spool"] if outcome.conclusion.decision == "bring_cell" else []
    uses += ["hand_chlorine"] if about.by_hand else []
    yield from (part.id for use in uses if (part := outcome.knowledge.part_for(use)) is not None)

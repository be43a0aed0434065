"""What goes out of the shop: the customer's own work with its cautions and things, and what a visit takes along."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from engine.knowledge.cautions import LIFTING_CELL, SUPPLY_WORK, told_for
from engine.knowledge.properties import PartUse
from engine.session.decisions import OWN_WORK
from engine.treatment.cautions import Concerns, concern_cautions, takes
from engine.treatment.kit import kit_for
from reports.view.case import JobCase
from reports.view.model import Action, Home, HomeWork, Packing
from reports.view.safety import gravest_first


def home(case: JobCase, laid_out: Sequence[Action], about: Concerns) -> Home:
    """What the customer is to do, with exactly the cautions of that.

    Args:
        laid_out: the actions on the sheet, first one first.
        about: what the job touches on.
    """
    work = _home_work(case, laid_out, about)
    steps = work == "steps" or (work == "leave" and _has_a_part(case, laid_out[0], about))
    cautions, fewer = (
        gravest_first(case, _home_cautions(case, laid_out, about, work, told)) for told in (steps, False)
    )
    return Home(work, steps, cautions, fewer, tuple(_taken_home(case, laid_out, about, work)))


def packing(case: JobCase, laid_out: Sequence[Action]) -> Packing:
    """What a technician packs for the visit that was decided on; empty where nobody visits.

    Args:
        laid_out: the actions on the sheet, first one first.
    """
    kit = kit_for(case, [action.repair for action in laid_out])
    if kit is None:
        return Packing(False, (), (), (), (), ())
    checks = tuple(case.short(check) for check in kit.checks)
    return Packing(True, kit.parts, kit.needs, kit.gear, kit.occasions, checks)


def _home_work(case: JobCase, laid_out: Sequence[Action], about: Concerns) -> HomeWork:
    decision = case.conclusion.decision
    if not case.judges or case.conclusion.solved or case.conclusion.why == "unverified":
        return "none"
    if about.shock:
        # Nobody works at a plant that may be live; all that is for the time after it has been called safe.
        return "leave" if laid_out else "none"
    if decision == "bring_cell":
        return "fit_spool" if "cell" in case.job.brought else "bring_cell"
    if decision == "bring_pack":
        return "bring_pack"
    if decision in OWN_WORK and laid_out and _is_owners(case, laid_out[0]):
        return "steps"
    return "leave" if laid_out else "none"


def _has_a_part(case: JobCase, action: Action, about: Concerns) -> bool:
    """Whether work that others come to do has steps for the customer; where all keep away, the electrician's."""
    if about.shock and case.conclusion.decision != "call_electrician":
        return False
    return action.decision == case.conclusion.decision and not _is_owners(case, action)


def _is_owners(case: JobCase, action: Action) -> bool:
    return "owner" in case.knowledge.repairs[action.repair].who


def _home_cautions(
    case: JobCase, laid_out: Sequence[Action], about: Concerns, work: HomeWork, steps: bool
) -> Iterator[str]:
    if not case.judges:
        yield from case.conclusion.cautions
    if steps:
        yield from case.knowledge.repairs[laid_out[0].repair].cautions
    if work in ("bring_cell", "fit_spool"):
        yield from told_for(case.knowledge.cautions, *LIFTING_CELL)
    if work == "bring_pack":
        # Its plug is on the mains.
        yield from told_for(case.knowledge.cautions, *SUPPLY_WORK)
    if any(_takes_chlorine(case, action) for action in laid_out if action.when == "also" and about.by_hand):
        yield from told_for(case.knowledge.cautions, "splashing")
    # What only others do, on the mains or with acid, is none of the customer's work.
    yield from concern_cautions(case, replace(about, mains=about.shock, acid=False))


def _takes_chlorine(case: JobCase, action: Action) -> bool:
    """Whether a strong dose of chlorine goes with the work: it is in the customer's hands before anybody was asked."""
    return takes(case, case.knowledge.repairs[action.repair], "hand_chlorine")


def _taken_home(case: JobCase, laid_out: Sequence[Action], about: Concerns, work: HomeWork) -> Iterator[str]:
    """Parts and products that the customer needs for what the sheet tells to do."""
    if work == "steps":
        yield from (need.part for need in case.knowledge.repairs[laid_out[0].repair].parts)
    uses: list[PartUse] = ["spool"] if case.conclusion.decision == "bring_cell" else []
    uses += ["hand_chlorine"] if about.by_hand else []
    yield from (part.id for use in uses if (part := case.knowledge.part_for(use)) is not None)

"""What goes out of the shop: the customer's own work with its cautions and things, and what a visit takes along."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from engine.knowledge.cautions import LIFTING_CELL, SUPPLY_WORK, told_for
from engine.knowledge.model import NEEDS
from engine.knowledge.properties import OCCASIONS, Occasion, PartUse
from engine.session.decisions import OWN_WORK, VISITS
from reports.view.case import JobCase
from reports.view.model import Action, Home, HomeWork, Packing
from reports.view.safety import Concerns, concern_cautions, gravest_first, takes

_ORDERED = ("dear", "very_dear")
"""Price classes that no small shop keeps on the shelf: judgement."""
_WORTH_TESTING = 0.05
_MOST_CHECKS = 6


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
    if case.conclusion.solved or case.conclusion.decision not in VISITS:
        return Packing(False, (), (), (), ())
    repairs = [case.knowledge.repairs[action.repair] for action in laid_out]
    checks = [check for name in _open_checks(case) if (check := case.check(name)) is not None]
    needs = {repair.needs for repair in repairs} | {check.needs for check in checks}
    owed = [caution for repair in repairs for caution in repair.cautions]
    owed += [caution for check in checks for caution in check.cautions]
    needed = dict.fromkeys(need.part for repair in repairs for need in repair.parts)
    parts = [(part, _place(case, part)) for part in needed if part in case.knowledge.parts]
    named = tuple(need for need in NEEDS if need in needs and need != "nothing")
    return Packing(True, tuple(parts), named, _occasions(case, owed), tuple(case.short(check) for check in checks))


def _occasions(case: JobCase, owed: Iterable[str]) -> tuple[Occasion, ...]:
    """The occasions for which work carries every caution that is told."""
    carried, known = set(owed), case.knowledge.cautions
    return tuple(each for each in OCCASIONS if (told := told_for(known, each)) and carried.issuperset(told))


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


def _place(case: JobCase, name: str) -> str:
    """Where a part is before the visit: `van`, `shelf` or `order`."""
    part = case.knowledge.parts[name]
    if part.in_van:
        return "van"
    return "order" if part.price in _ORDERED else "shelf"


def _open_checks(case: JobCase) -> Iterable[str]:
    """Checks not answered yet that take instruments or tools and that speak of a likely cause, likeliest first."""
    if not case.judges:
        return ()
    answered = set(case.judged.job.readings)
    found: dict[str, None] = {}
    for cause, probability in case.judged.marginals().items():
        if probability < _WORTH_TESTING or cause not in case.knowledge.causes:
            continue
        for name in case.knowledge.causes[cause].shows:
            finding = case.knowledge.findings.get(name)
            for check in finding.inputs if finding is not None else (name,):
                if check not in answered and _takes_something(case, check):
                    found[check] = None
    return [*found][:_MOST_CHECKS]


def _takes_something(case: JobCase, name: str) -> bool:
    check = case.check(name)
    return check is not None and check.needs != "nothing"

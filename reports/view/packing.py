"""What goes out of the shop: the customer's own work with its cautions and things, and what a visit takes along."""

from __future__ import annotations

from collections.abc import Sequence

from engine.treatment.at_home import at_home
from engine.treatment.cautions import Concerns
from engine.treatment.kit import kit_for
from engine.treatment.order_of_work import LaidOut
from reports.view.case import JobCase
from reports.view.model import Home, Packing
from reports.view.safety import caution_boxes, in_a_line


def home(case: JobCase, laid_out: Sequence[LaidOut], about: Concerns) -> Home:
    """What the customer is to do, with exactly the cautions of that.

    Args:
        case: the job.
        laid_out: the repairs on the sheet, first one first.
        about: what the job touches on.
    """
    there = at_home(case, laid_out, about)
    whole, fewer = caution_boxes(case, there.cautions), caution_boxes(case, there.cautions_without_steps)
    lines, fewer_lines = in_a_line(case, there.cautions), in_a_line(case, there.cautions_without_steps)
    put_off = [repair for item in case.session.waiting() if (repair := case.repair(item.about)) is not None]
    waits = all("owner" in repair.who for repair in put_off)
    return Home(
        there.work, there.steps, whole, fewer, lines, fewer_lines, there.parts, waits, tuple(sorted(there.beside_dose))
    )


def packing(case: JobCase, laid_out: Sequence[LaidOut]) -> Packing:
    """What a technician packs for the visit that was decided on; empty where nobody visits.

    Args:
        case: the job.
        laid_out: the repairs on the sheet, first one first.
    """
    kit = kit_for(case, [item.repair for item in laid_out])
    if kit is None:
        return Packing(False, (), (), (), (), ())
    checks = tuple(case.short(check) for check in kit.checks)
    return Packing(True, kit.parts, kit.needs, kit.gear, kit.occasions, checks)

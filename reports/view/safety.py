"""The cautions of a sheet in its reader's words, and whose rules win over it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from engine.foundation.texts import say
from engine.knowledge.hazards import told_for
from engine.knowledge.model import Repair
from engine.treatment import cautions
from engine.treatment.amounts import Enough
from engine.treatment.cautions import Concerns, PaperCautions
from engine.treatment.chlorine import hand_dose
from engine.treatment.order_of_work import LaidOut
from engine.treatment.readings import PoolReadings
from reports.view.case import JobCase
from reports.view.model import CautionLine


def concerns(case: JobCase, laid_out: Sequence[LaidOut], known: PoolReadings) -> Concerns:
    """What a job touches on, from its decision, the work laid out and what was answered."""
    return cautions.concerns(case, laid_out, lambda: _lacks_chlorine(case, known))


def _lacks_chlorine(case: JobCase, known: PoolReadings) -> bool | None:
    """Whether chlorine is to be dosed by hand; None for a customer whose water nobody tested, as no dose is known."""
    dose = hand_dose(known)
    if isinstance(dose, Enough):
        return False
    return None if dose.now_ppm is None and case.reader == "customer" else True


def paper_cautions(
    case: JobCase, laid_out: Sequence[LaidOut], advised: Sequence[str], about: Concerns
) -> PaperCautions:
    """The cautions of the paper that is told in this voice: the technician's, or elsewhere the shop's."""
    if case.voice == "field":
        return cautions.technicians_cautions(case, laid_out, advised, about)
    return cautions.shops_cautions(case, [item.repair for item in laid_out], about)


def caution_boxes(case: JobCase, told: PaperCautions) -> tuple[CautionLine, ...]:
    """The cautions that are told whole, gravest first."""
    return tuple(
        CautionLine(caution.id, caution.signal, case.say(caution.wording), in_short=case.say(caution.in_short))
        for caution in told.whole
    )


def in_a_line(case: JobCase, told: PaperCautions) -> tuple[CautionLine, ...]:
    """The cautions that are told in a line, gravest first."""
    return tuple(
        CautionLine(
            caution.id,
            caution.signal,
            case.say(caution.in_short),
            caution.id in told.owed,
            later=caution.id in told.later,
        )
        for caution in told.in_a_line
    )


def local_code(case: JobCase, about: Concerns) -> tuple[str, ...]:
    """Whose rules win over this sheet, for each kind of work on it that the law has a say in.

    Of public pools nothing is told to an owner: who runs one has a technician or a shop.
    """
    told = {"mains": about.mains, "acid": about.acid, "gas": about.gas}
    told |= {"waste": about.lets_out, "public": about.dosed and case.reader != "customer", "else": True}
    return tuple(say(f"view_advice.rules.{rule}.{case.reader}") for rule, is_told in told.items() if is_told)


def gravest_of_work(case: JobCase, repair: Repair) -> str:
    """What an owner's own work can do worst, in short, for where the page opens; empty where nothing is that grave.

    That the power goes off first is told by the work itself there, and what is closed or under pressure by other lines.
    """
    acts = [case.knowledge.acts[name] for name in repair.work.acts.owner]
    names = [name for act in acts if act.occasion != "isolating" for name in act.cautions.owner]
    return _gravest(case, names, ("DANGER",) if repair.plant == "isolated" else ("DANGER", "WARNING"))


def gravest_of_dosing(case: JobCase) -> str:
    """The same of chlorine that the customer doses by hand until the work is done."""
    return _gravest(case, told_for(case.knowledge.acts, "owner", "hand_dosing"), ("DANGER",))


def _gravest(case: JobCase, names: Iterable[str], grave: Collection[str]) -> str:
    found = (caution for caution in cautions.gravest_first(case.knowledge, names) if caution.signal in grave)
    return next((case.say(caution.in_short) for caution in found), "")

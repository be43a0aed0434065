"""The cautions of a sheet in its reader's words, and whose rules win over it."""

from __future__ import annotations

from collections.abc import Sequence

from engine.foundation.texts import say
from engine.knowledge.model import Caution
from engine.treatment import cautions
from engine.treatment.cautions import Concerns
from engine.treatment.chlorine import hand_dose_is_due
from engine.treatment.order_of_work import LaidOut
from engine.treatment.readings import PoolReadings
from reports.view.case import JobCase
from reports.view.model import CautionLine


def concerns(case: JobCase, laid_out: Sequence[LaidOut], known: PoolReadings) -> Concerns:
    """What a job touches on, from its decision, the work laid out and what was answered."""
    repairs = [item.repair for item in laid_out]
    return cautions.concerns(case, repairs, lambda: hand_dose_is_due(case, laid_out, known))


def caution_lines(
    case: JobCase, laid_out: Sequence[LaidOut], advised: Sequence[str], about: Concerns
) -> tuple[CautionLine, ...]:
    """Every caution of the work laid out or done and of the checks advised, gravest first, each once."""
    return worded(case, cautions.owed_cautions(case, [item.repair for item in laid_out], advised, about))


def worded(case: JobCase, owed: Sequence[Caution]) -> tuple[CautionLine, ...]:
    """Cautions in the words of this sheet's reader."""
    return tuple(CautionLine(caution.id, caution.signal, case.say(caution.wording)) for caution in owed)


def local_code(case: JobCase, about: Concerns) -> tuple[str, ...]:
    """Whose rules win over this sheet, for each kind of work on it that the law has a say in."""
    told = {"mains": about.mains, "acid": about.acid, "gas": about.gas, "else": True}
    return tuple(say(f"view_advice.rules.{rule}.{case.reader}") for rule, is_told in told.items() if is_told)

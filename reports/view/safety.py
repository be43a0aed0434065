"""The cautions of a sheet in its reader's words, and whose rules win over it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from engine.foundation.texts import say
from engine.knowledge.model import Caution
from engine.treatment import cautions
from engine.treatment.cautions import Concerns
from reports.view.amounts import hand_dose, nothing_needed
from reports.view.case import JobCase
from reports.view.known import KnownReadings
from reports.view.model import Action, CautionLine


def concerns(case: JobCase, laid_out: Sequence[Action], known: KnownReadings) -> Concerns:
    """What a job touches on, from its decision, the work laid out and what was answered."""
    return cautions.concerns(case, [action.repair for action in laid_out], lambda: not nothing_needed(hand_dose(known)))


def caution_lines(
    case: JobCase, laid_out: Sequence[Action], advised: Sequence[str], about: Concerns
) -> tuple[CautionLine, ...]:
    """Every caution of the work laid out or done and of the checks advised, gravest first, each once."""
    return _lines(case, cautions.owed_cautions(case, [action.repair for action in laid_out], advised, about))


def gravest_first(case: JobCase, names: Iterable[str]) -> tuple[CautionLine, ...]:
    """The cautions of these ids, each once, by their signal words; an id that this knowledge lacks is passed by."""
    return _lines(case, cautions.gravest_first(case.knowledge, names))


def _lines(case: JobCase, owed: Sequence[Caution]) -> tuple[CautionLine, ...]:
    return tuple(CautionLine(caution.id, caution.signal, case.say(caution.wording)) for caution in owed)


def local_code(case: JobCase, about: Concerns) -> tuple[str, ...]:
    """Whose rules win over this sheet, for each kind of work on it that the law has a say in."""
    told = {"mains": about.mains, "acid": about.acid, "gas": about.gas, "else": True}
    return tuple(say(f"view_advice.rules.{rule}.{case.reader}") for rule, is_told in told.items() if is_told)

"""How much of what a repair takes, worked out from the readings: one door to the doses of this room."""

from __future__ import annotations

from engine.chlorinator.limits import RangeError
from engine.knowledge.model import PartNeed, Repair
from engine.knowledge.properties import PartAmount, PartComputation, Work
from engine.treatment.acid import CleaningMix, Neutraliser, PhDose, acid_for_ph, cleaning_mix, neutraliser
from engine.treatment.amounts import Enough, NotYet, Outside
from engine.treatment.chlorine import ChlorineDose, WaterFirst, hand_dose, strong_dose
from engine.treatment.minerals import (
    SaltDose,
    StabiliserDose,
    WaterSwap,
    salt_to_add,
    stabiliser_to_add,
    water_to_swap,
)
from engine.treatment.output import Setting, UnitSize, setting, unit_size
from engine.treatment.readings import PoolReadings

PartDose = PartAmount | SaltDose | StabiliserDose | ChlorineDose | WaterFirst | Neutraliser | Enough | NotYet | Outside
"""How much of a part: as written in the knowledge, worked out, or why it is not."""
WorkDose = WaterSwap | Setting | UnitSize | CleaningMix | PhDose | NotYet | Outside
"""What else a repair works out: water to swap, settings to make, mixes."""


def part_dose(need: PartNeed, repair: Repair, readings: PoolReadings) -> PartDose:
    """How much of a part a repair takes: as written, or worked out where the knowledge names a computation."""
    if need.amount.computed is None:
        return need.amount
    try:
        found = _part(need.amount.computed, repair, readings)
        if isinstance(found, (SaltDose, StabiliserDose)):
            found.kg(found.volume_m3 or 1.0)
        return found
    except RangeError:
        return Outside()


def _part(computed: PartComputation, repair: Repair, readings: PoolReadings) -> PartDose:
    if computed == "salt_dose":
        return salt_to_add(readings)
    if computed == "stabiliser_dose":
        return stabiliser_to_add(readings)
    if computed == "acid_neutraliser":
        return neutraliser(repair, readings)
    return hand_dose(readings) if computed == "hand_chlorine" else strong_dose(readings)


def work_doses(repair: Repair, readings: PoolReadings) -> tuple[WorkDose, ...]:
    """Amounts of a repair that are not of a part; one alone where a reading lies outside what a formula holds for."""
    try:
        found = [_work(work, repair, readings) for work in repair.works_out]
    except RangeError:
        return (Outside("answer"),)
    return tuple(dose for dose in found if dose is not None)


def _work(work: Work, repair: Repair, readings: PoolReadings) -> WorkDose | None:
    if work == "water_to_swap":
        return water_to_swap(readings)
    if work == "setting":
        return setting(readings)
    if work == "unit_size":
        return unit_size(readings)
    return cleaning_mix(repair, readings) if work == "acid_mix" else acid_for_ph(readings)

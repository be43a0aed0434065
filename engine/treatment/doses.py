"""How much of what a repair takes, worked out from the readings: one door to the doses of this room."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Literal

from engine.chlorinator.limits import RangeError
from engine.knowledge.model import PartNeed, Repair
from engine.knowledge.properties import PartAmount, PartComputation, Work
from engine.treatment.acid import (
    CleaningMix,
    Neutraliser,
    PhDose,
    acid_for_alkalinity,
    acid_for_ph,
    cleaning_mix,
    neutraliser,
)
from engine.treatment.amounts import Enough, NotYet, Outside
from engine.treatment.chlorine import ChlorineDose, ChlorineOut, WaterFirst, chlorine_out, hand_dose, strong_dose
from engine.treatment.minerals import MineralDose, SaltDose, WaterSwap, mineral_to_add, salt_to_add, water_to_swap
from engine.treatment.output import Setting, UnitSize, setting, unit_size
from engine.treatment.readings import PoolReadings
from engine.treatment.soda_ash import PhLift, soda_ash_for_ph
from engine.treatment.water_balance import Balance, balance

Side = Literal["low", "high"]
"""On which side of its range a test lies."""
PartDose = (
    PartAmount
    | SaltDose
    | MineralDose
    | ChlorineDose
    | WaterFirst
    | Neutraliser
    | PhDose
    | PhLift
    | Enough
    | NotYet
    | Outside
)
"""How much of a part: as written in the knowledge, worked out, or why it is not."""
WorkDose = WaterSwap | Setting | UnitSize | CleaningMix | PhDose | Balance | ChlorineOut | NotYet | Outside
"""What else a repair works out: water to swap, settings to make, mixes."""


def part_dose(need: PartNeed, repair: Repair, readings: PoolReadings) -> PartDose:
    """How much of a part a repair takes: as written, or worked out where the knowledge names a computation."""
    if need.amount.computed is None:
        return need.amount
    try:
        found = _part(need.amount.computed, repair, readings)
        if isinstance(found, (SaltDose, MineralDose)):
            found.kg(found.volume_m3 or 1.0)
        return found
    except RangeError:
        return Outside()


def _part(computed: PartComputation, repair: Repair, readings: PoolReadings) -> PartDose:
    if computed == "acid_neutraliser":
        return neutraliser(repair, readings)
    return _PARTS[computed](readings)


def work_doses(repair: Repair, readings: PoolReadings) -> tuple[WorkDose, ...]:
    """Amounts of a repair that are not of a part; one alone where a reading lies outside what a formula holds for."""
    try:
        found = [_work(work, repair, readings) for work in repair.works_out]
    except RangeError:
        return (Outside("answer"),)
    return tuple(dose for dose in found if not isinstance(dose, Enough))


def dose_to_put_right(check: str, side: Side, readings: PoolReadings) -> PartDose | WorkDose | None:
    """What puts a test right that is not as it should be; None where there is no dose for it.

    Args:
        check: the id of the check.
        side: on which side of its range it lies.
    """
    how = PUTS_RIGHT.get((check, side))
    if how is None:
        return None
    try:
        found = _WORKS[how](readings) if how == "water_to_swap" else _PARTS[how](readings)
        if isinstance(found, (SaltDose, MineralDose)):
            found.kg(found.volume_m3 or 1.0)
        return found
    except RangeError:
        return Outside()


def days_of_water(repair: Repair, readings: PoolReadings) -> int:
    """Days that go by with water let out, filled up and mixed, before this work can show; 0 where none is swapped."""
    try:
        swaps = [_WORKS[work](readings) for work in repair.works_out if work == "water_to_swap"]
    except RangeError:
        return 0
    return max((swap.days for swap in swaps if isinstance(swap, WaterSwap)), default=0)


def computed_by(repair: Repair) -> frozenset[str]:
    """Every computation that a repair's own amounts come from, by name."""
    parts = (need.amount.computed for need in repair.parts)
    return frozenset((*(name for name in parts if name is not None), *repair.works_out))


def _work(work: Work, repair: Repair, readings: PoolReadings) -> WorkDose | Enough:
    return cleaning_mix(repair, readings) if work == "acid_mix" else _WORKS[work](readings)


_PARTS: Mapping[PartComputation, Callable[[PoolReadings], PartDose]] = {
    "salt_dose": salt_to_add,
    "stabiliser_dose": partial(mineral_to_add, "stabiliser"),
    "bicarbonate_dose": partial(mineral_to_add, "alkalinity"),
    "calcium_dose": partial(mineral_to_add, "hardness"),
    "hand_chlorine": hand_dose,
    "strong_chlorine": strong_dose,
    "acid_for_ph": acid_for_ph,
    "acid_for_alkalinity": acid_for_alkalinity,
    "soda_ash_for_ph": soda_ash_for_ph,
}
_WORKS: Mapping[Work, Callable[[PoolReadings], WorkDose | Enough]] = {
    "water_to_swap": water_to_swap,
    "setting": setting,
    "unit_size": unit_size,
    "acid_for_ph": acid_for_ph,
    "balance": balance,
    "chlorine_out": chlorine_out,
}
"""What needs the readings alone; the rest asks the repair too."""
PUTS_RIGHT: Mapping[tuple[str, Side], PartComputation | Literal["water_to_swap"]] = {
    ("stabiliser", "high"): "water_to_swap",
    ("tested_salt", "high"): "water_to_swap",
    ("alkalinity", "low"): "bicarbonate_dose",
    ("ph", "low"): "soda_ash_for_ph",
    ("ph", "high"): "acid_for_ph",
    ("hardness", "low"): "calcium_dose",
    ("stabiliser", "low"): "stabiliser_dose",
    ("tested_salt", "low"): "salt_dose",
}
"""What puts a test right, in the order in which it is done: fresh water changes all else, alkalinity moves the pH, and
salt and stabiliser move nothing. Common practice, no source."""

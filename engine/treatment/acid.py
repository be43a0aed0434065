"""Work with acid: the cleaning mix, what neutralises it, and acid that brings the pH down."""

from __future__ import annotations

from dataclasses import dataclass

from engine.chlorinator import acid
from engine.chlorinator.balance import AcidDose, PoolWater, acid_dose
from engine.chlorinator.limits import RangeError
from engine.knowledge.model import Repair
from engine.quantities.units import convert
from engine.treatment.amounts import Lack, NotYet, Outside, volume_lack
from engine.treatment.readings import USUAL_WATER_C, PoolReadings

ACID_STRENGTH_PERCENT = 30.0
"""The cleaning acid that the part names as usual: common practice."""
TARGET_PH = 7.5
"""The pH that acid is dosed to, the middle of 7.2 to 7.8: common practice, no source."""
_PH_WORTH_A_DOSE = 7.7
"""Up to this pH no acid is told: two errors of a usual test above the target."""
_USUAL_HARDNESS_PPM = 250.0
"""Calcium hardness where none was tested; it moves a dose of acid by a few per cent: common practice."""
_ACID_TESTS: tuple[Lack, ...] = ("ph", "alkalinity", "stabiliser")
"""The checks without which no dose of acid is told."""


@dataclass(frozen=True)
class CleaningMix:
    """The mix that a cell is cleaned with: `parts` of water to one of acid, both in L, and the mass percent of acid."""

    parts: float
    water_l: float
    acid_l: float
    percent: float


@dataclass(frozen=True)
class Neutraliser:
    """Bicarbonate, g, for so much cleaning acid, L, used to the full."""

    grams: float
    acid_l: float


@dataclass(frozen=True)
class PhDose:
    """Acid of 31 % that brings the pool's pH to `TARGET_PH`.

    `assumed` are the checks that were taken as usual: `water_temp`, `hardness`, `tested_salt`. `volume_m3` is the pool,
    None where it is not known.
    """

    water: PoolWater
    volume_m3: float | None
    assumed: tuple[str, ...]

    def dose(self, volume_m3: float) -> AcidDose:
        """The dose for so much water. Raises RangeError where the formula has no answer."""
        return acid_dose(volume_m3, self.water, TARGET_PH)


def _acid_l(repair: Repair, readings: PoolReadings) -> float | None:
    """The cleaning acid that a repair takes, L, where its parts say so."""
    acids = {part.id for part in readings.knowledge.parts.values() if part.use == "cleaning_acid"}
    said = next((need.amount for need in repair.parts if need.part in acids), None)
    if said is None or said.unit not in ("L", "mL"):
        return None
    return convert(said.value, said.unit, "L")


def neutraliser(repair: Repair, readings: PoolReadings) -> Neutraliser | NotYet:
    """Bicarbonate that neutralises the cleaning acid of a repair.

    Raises:
        RangeError: the acid lies outside what the formula holds for.
    """
    litres = _acid_l(repair, readings)
    if litres is None:
        return NotYet(("to_change", *volume_lack(readings)))
    return Neutraliser(acid.bicarbonate_for_acid_g(litres, ACID_STRENGTH_PERCENT), litres)


def cleaning_mix(repair: Repair, readings: PoolReadings) -> CleaningMix | NotYet:
    """The mix of water and acid that a cell is cleaned with.

    Raises:
        RangeError: the acid lies outside what the formula holds for.
    """
    litres = _acid_l(repair, readings)
    if litres is None:
        return NotYet(("acid",), "mix")
    parts = readings.knowledge.limits.cleaning_mix_water
    density = acid.hydrochloric_density_g_ml(ACID_STRENGTH_PERCENT)
    mix = acid.acid_mix(ACID_STRENGTH_PERCENT, density, parts, 1.0, litres * (parts + 1.0))
    return CleaningMix(parts, mix.water_ml / 1000, mix.acid_ml / 1000, mix.percent)


def acid_for_ph(readings: PoolReadings) -> PhDose | NotYet | Outside | None:
    """Acid for the pool from its tests; None where the pH needs none."""
    numbers = readings.numbers
    ph, total, stabiliser = (numbers.get(check) for check in _ACID_TESTS)
    if ph is not None and ph <= _PH_WORTH_A_DOSE:
        return None
    if ph is None or total is None or stabiliser is None:
        missing = tuple(test for test in _ACID_TESTS if test not in numbers)
        return NotYet((*missing, *volume_lack(readings)), "ph")
    warmth, salt, hardness = readings.water_c, numbers.get("tested_salt"), numbers.get("hardness")
    water = PoolWater(
        ph,
        USUAL_WATER_C if warmth is None else warmth,
        _USUAL_HARDNESS_PPM if hardness is None else hardness,
        total,
        stabiliser,
        readings.unit.values["salt.ideal"] if salt is None else salt,
    )
    taken = (("water_temp", warmth), ("hardness", hardness), ("tested_salt", salt))
    found = PhDose(water, readings.volume_m3, tuple(check for check, value in taken if value is None))
    try:
        found.dose(1.0)
    except RangeError:
        return Outside("ph")
    return found

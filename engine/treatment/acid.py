"""Work with acid: the cleaning mix, what neutralises it, and acid that brings the pH down."""

from __future__ import annotations

from dataclasses import dataclass

from engine.chlorinator import acid
from engine.chlorinator.balance import AcidDose, PoolWater, acid_dose
from engine.chlorinator.limits import RangeError
from engine.knowledge.model import Repair
from engine.quantities.units import convert
from engine.treatment.amounts import Enough, Lack, NotYet, Outside, volume_lack
from engine.treatment.readings import USUAL_WATER_C, PoolReadings

ACID_STRENGTH_PERCENT = 30.0
"""The cleaning acid that the part names as usual: common practice."""
TARGET_PH = 7.5
"""The pH that acid is dosed to, the middle of 7.2 to 7.8: common practice, no source."""
_PH_WORTH_A_DOSE = 7.7
"""Up to this pH no acid is told: two errors of a usual test above the target."""
LOW_PH = 7.2
"""The pH to which acid is dosed at one time to take alkalinity out, the low end of 7.2 to 7.8: common practice."""
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
    """Acid of 31 % that brings the pool's pH to `target_ph`.

    `assumed` are the checks that were taken as usual: `water_temp`, `hardness`, `tested_salt`. `volume_m3` is the pool,
    None where it is not known.
    """

    water: PoolWater
    volume_m3: float | None
    assumed: tuple[str, ...]
    target_ph: float = TARGET_PH

    def dose(self, volume_m3: float) -> AcidDose:
        """The dose for so much water. Raises RangeError where the formula has no answer."""
        return acid_dose(volume_m3, self.water, self.target_ph)


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


def acid_for_ph(readings: PoolReadings) -> PhDose | Enough | NotYet | Outside:
    """Acid for the pool from its tests; nothing where the pH needs none."""
    ph = readings.numbers.get("ph")
    if ph is not None and ph <= _PH_WORTH_A_DOSE:
        return Enough(ph, _PH_WORTH_A_DOSE, "pH")
    return _acid_to(TARGET_PH, readings)


def acid_for_alkalinity(readings: PoolReadings) -> PhDose | Enough | NotYet | Outside:
    """Acid for one round against alkalinity: to `LOW_PH`, after which air brings the pH up and not the alkalinity."""
    now, check, ph = (
        readings.numbers.get("alkalinity"),
        readings.knowledge.checks.get("alkalinity"),
        readings.numbers.get("ph"),
    )
    right = None if check is None else readings.should_be(check)
    if now is not None and right is not None and now <= right[1]:
        return Enough(now, right[1])
    if ph is not None and ph <= LOW_PH:
        return Enough(ph, LOW_PH, "pH")
    return _acid_to(LOW_PH, readings)


def tested_water(readings: PoolReadings) -> tuple[PoolWater, tuple[str, ...]] | None:
    """The pool's water for its balance, and the checks that were taken as usual; None while a test is missing."""
    numbers = readings.numbers
    if not numbers.keys() >= set(_ACID_TESTS):
        return None
    usual = {
        "water_temp": USUAL_WATER_C,
        "hardness": _USUAL_HARDNESS_PPM,
        "tested_salt": readings.unit.values["salt.ideal"],
    }
    read = {name: numbers.get(name) for name in usual} | {"water_temp": readings.water_c}
    taken = {name: usual[name] if value is None else value for name, value in read.items()}
    ph, total, stabiliser = (numbers[check] for check in _ACID_TESTS)
    water = PoolWater(ph, taken["water_temp"], taken["hardness"], total, stabiliser, taken["tested_salt"])
    return water, tuple(name for name, value in read.items() if value is None)


def _acid_to(target_ph: float, readings: PoolReadings) -> PhDose | NotYet | Outside:
    tested = tested_water(readings)
    if tested is None:
        missing = tuple(test for test in _ACID_TESTS if test not in readings.numbers)
        return NotYet((*missing, *volume_lack(readings)), "ph")
    found = PhDose(tested[0], readings.volume_m3, tested[1], target_ph)
    try:
        found.dose(1.0)
    except RangeError:
        return Outside("ph")
    return found

"""Soda ash that brings a low pH up, where air alone is not the better way."""

from __future__ import annotations

from dataclasses import dataclass

from engine.chlorinator.balance import PoolWater, SodaAshDose, soda_ash_dose
from engine.chlorinator.limits import RangeError
from engine.treatment.acid import tested_water
from engine.treatment.amounts import Enough, Lack, NotYet, Outside, volume_lack
from engine.treatment.readings import PoolReadings

LIFTED_PH = 7.4
"""The pH that soda ash is dosed to: the low end of 7.2 to 7.8 and two errors of a usual test, as too much is only
taken back with acid. Judgement."""
_TESTS: tuple[Lack, ...] = ("ph", "alkalinity", "stabiliser")


@dataclass(frozen=True)
class PhLift:
    """Soda ash that brings the pool's pH to `LIFTED_PH`, and how much of it goes in at once, g in each m³.

    `assumed` are the checks that were taken as usual; `volume_m3` is the pool, None where it is not known.
    """

    water: PoolWater
    volume_m3: float | None
    assumed: tuple[str, ...]
    at_once_g_m3: float

    def dose(self, volume_m3: float) -> SodaAshDose:
        """The dose for so much water. Raises RangeError where the formula has no answer."""
        return soda_ash_dose(volume_m3, self.water, LIFTED_PH)

    def at_once_g(self, volume_m3: float) -> float:
        """The most that goes into so much water at one time, g; less where half of the dose is less."""
        return min(self.at_once_g_m3 * volume_m3, self.dose(volume_m3).grams / 2)


def soda_ash_for_ph(readings: PoolReadings) -> PhLift | Enough | NotYet | Outside:
    """Soda ash for the pool from its tests; nothing where the pH is in its range.

    Where the alkalinity is low, bicarbonate goes first, and lifts the pH too; where soda ash would lift it over its
    range, air brings the pH up and leaves it. After either the pH is tested anew.
    """
    ph, check = readings.numbers.get("ph"), readings.knowledge.checks.get("ph")
    right = None if check is None else readings.should_be(check)
    if ph is not None and right is not None and ph >= right[0]:
        return Enough(ph, right[0], "pH")
    tested = tested_water(readings)
    if tested is None:
        missing = tuple(test for test in _TESTS if test not in readings.numbers)
        return NotYet((*missing, *volume_lack(readings)), "soda_ash")
    found = PhLift(tested[0], readings.volume_m3, tested[1], readings.knowledge.limits.soda_ash_at_once)
    try:
        first = _goes_first(readings, found.dose(1.0).alkalinity_after_ppm)
    except RangeError:
        return Outside()
    return found if first is None else NotYet((first,), "soda_ash")


def _goes_first(readings: PoolReadings, alkalinity_after_ppm: float) -> Lack | None:
    check = readings.knowledge.checks.get("alkalinity")
    right = None if check is None else readings.should_be(check)
    if check is None or right is None:
        return None
    if readings.numbers["alkalinity"] < right[0]:
        return "ph_after_alkalinity"
    return "ph_after_air" if alkalinity_after_ppm > right[1] + readings.two_errors(check, right[1]) else None

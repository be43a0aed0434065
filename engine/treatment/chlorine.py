"""Chlorine by hand: how far the test is to rise, and what that takes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from engine.chlorinator.disinfectant import hypochlorite_l
from engine.treatment.amounts import Enough
from engine.treatment.readings import PoolReadings

LIQUID_STRENGTH_PERCENT = 12.0
"""The liquid chlorine that a dose is told for as an example; about 12 % is usual in the trade: common practice."""
_STRONG_DOSE_PPM = 10.0
"""Least rise for a superchlorination, and ten times the combined chlorine: common practice, no source."""
_STABILISER_PER_CHLORINE = 20.0
"""Cyanuric acid to free chlorine at most; what works of the chlorine goes by this ratio."""


@dataclass(frozen=True)
class ChlorineDose:
    """Liquid chlorine of `LIQUID_STRENGTH_PERCENT` for a rise of the test.

    rise_ppm: above 0. now_ppm: the test it begins at, None where nobody tested or for a strong dose.
    volume_m3: the pool, None where it is not known. strong: meant to burn off what was used up.
    """

    rise_ppm: float
    volume_m3: float | None
    now_ppm: float | None = None
    strong: bool = False

    def litres(self, volume_m3: float) -> float:
        """The dose for so much water, L. Raises RangeError where the formula has no answer."""
        return hypochlorite_l(volume_m3, self.rise_ppm, LIQUID_STRENGTH_PERCENT)


def chlorine_range(readings: PoolReadings) -> tuple[float, float] | None:
    """Free chlorine that counts as it should be, ppm, by the bands of the chlorine test."""
    return next((readings.should_be(check) for check in readings.knowledge.checks_telling("free_chlorine")), None)


def chlorine_for_stabiliser_ppm(readings: PoolReadings) -> float | None:
    """Free chlorine that the stabiliser as tested asks for, ppm, in steps of a half.

    None where it was not tested, or asks for no more than the middle of the usual range.

    Source: cyanuric acid to free chlorine at most 20 to 1, Falk and others, Water 11 (2019) 1314 (from memory).
    """
    between, stabiliser = chlorine_range(readings), readings.numbers.get("stabiliser")
    if between is None or stabiliser is None:
        return None
    needed = math.ceil(2 * stabiliser / _STABILISER_PER_CHLORINE) / 2
    return needed if needed > sum(between) / 2 else None


def hand_dose(readings: PoolReadings) -> ChlorineDose | Enough:
    """Chlorine by hand that brings the pool to the middle of its range, or for each ppm where nobody tested.

    Much stabiliser asks for more, as far as the range goes.
    """
    between = chlorine_range(readings)
    now = readings.told("free_chlorine", "owners_free_chlorine")
    if between is None or now is None:
        return ChlorineDose(1.0, readings.volume_m3)
    target = min(chlorine_for_stabiliser_ppm(readings) or sum(between) / 2, between[1])
    rise = target - now
    return Enough(now) if rise <= 0 else ChlorineDose(rise, readings.volume_m3, now)


def strong_dose(readings: PoolReadings) -> ChlorineDose:
    """Chlorine that burns off what was used up: ten times the combined chlorine, and no less than ten ppm."""
    rise = max(_STRONG_DOSE_PPM, 10.0 * (readings.told("combined_chlorine") or 0.0))
    return ChlorineDose(rise, readings.volume_m3, strong=True)

"""Chlorine by hand: how far the test is to rise, and what that takes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from engine.chlorinator.disinfectant import hypochlorite_l, thiosulfate_g
from engine.treatment.amounts import Enough, NotYet, volume_lack
from engine.treatment.readings import PoolReadings

LIQUID_STRENGTH_PERCENT = 12.0
"""The liquid chlorine that a dose is told for as an example; about 12 % is usual in the trade: common practice."""
_CHLORINE_PER_COMBINED = 10.0
"""Chlorine that takes combined chlorine away, by weight as tested.

Source: Indiana's department of health, a sheet on chlorination to breakpoint (read): 7.6 times the ammonia, and ten
times as tested, since other things use it up too.
"""
_STABILISER_PER_CHLORINE = 20.0
"""Cyanuric acid to free chlorine at most; what works of the chlorine goes by this ratio."""
_WORTH_TAKING_OUT_PPM = 10.0
"""From here on, where health authorities close public pools (a Canadian evidence brief, NCCEH, read), a neutraliser is
told; below, sun and time do it: judgement."""


@dataclass(frozen=True)
class ChlorineDose:
    """Liquid chlorine of `LIQUID_STRENGTH_PERCENT` for a rise of the test.

    rise_ppm: above 0. now_ppm: the test it begins at, None where nobody tested or for a strong dose.
    volume_m3: the pool, None where it is not known. wanted_ppm: of a strong dose, the rise wanted in all, of which
    `rise_ppm` goes in at once; None for a dose that only brings the test into its range.
    """

    rise_ppm: float
    volume_m3: float | None
    now_ppm: float | None = None
    wanted_ppm: float | None = None

    def litres(self, volume_m3: float) -> float:
        """The dose for so much water, L. Raises RangeError where the formula has no answer."""
        return hypochlorite_l(volume_m3, self.rise_ppm, LIQUID_STRENGTH_PERCENT)


@dataclass(frozen=True)
class WaterFirst:
    """No strong dose before water was swapped: `of` is tested at `tested_ppm`, above `limit_ppm`."""

    of: Literal["combined", "stabiliser"]
    tested_ppm: float
    limit_ppm: float


@dataclass(frozen=True)
class ChlorineOut:
    """Sodium thiosulphate from `now_ppm` down to `target_ppm` in `volume_m3`, the pool."""

    now_ppm: float
    target_ppm: float
    volume_m3: float

    @property
    def grams(self) -> float:
        """The least that can do it, g: practice takes up to twice as much, so it never overshoots."""
        return thiosulfate_g(self.volume_m3, self.now_ppm, self.target_ppm)


def chlorine_range(readings: PoolReadings) -> tuple[float, float] | None:
    """Free chlorine that counts as it should be, ppm: by the bands of its test, and no less than the stabiliser asks.

    The upper end stands, even where the stabiliser asks for more than that.
    """
    bands, asked = _bands(readings), chlorine_for_stabiliser_ppm(readings)
    return bands if bands is None or asked is None else (min(asked, bands[1]), bands[1])


def _bands(readings: PoolReadings) -> tuple[float, float] | None:
    return next((readings.should_be(check) for check in readings.knowledge.checks_telling("free_chlorine")), None)


def chlorine_for_stabiliser_ppm(readings: PoolReadings) -> float | None:
    """Free chlorine that the stabiliser as tested asks for at least, ppm, in steps of a half.

    None where it was not tested, or asks for no more than every pool has.

    Source: cyanuric acid to free chlorine at most 20 to 1, Falk and others, Water 11 (2019) 1314 (from memory).
    """
    bands, stabiliser = _bands(readings), readings.numbers.get("stabiliser")
    if bands is None or stabiliser is None:
        return None
    needed = math.ceil(2 * stabiliser / _STABILISER_PER_CHLORINE) / 2
    return needed if needed > bands[0] else None


def hand_dose(readings: PoolReadings) -> ChlorineDose | Enough:
    """Chlorine by hand from below the range to its middle, or for each ppm where nobody tested.

    Much stabiliser asks for more, as far as the range goes.
    """
    between = chlorine_range(readings)
    now = readings.told("free_chlorine", "owners_free_chlorine")
    if between is None or now is None:
        return ChlorineDose(1.0, readings.volume_m3)
    if now >= between[0]:
        return Enough(now)
    bands = _bands(readings) or between
    return ChlorineDose(max(sum(bands) / 2, between[0]) - now, readings.volume_m3, now)


def strong_dose(readings: PoolReadings) -> ChlorineDose | WaterFirst:
    """Chlorine that burns off what was used up: ten times the combined chlorine, as much of it as goes in at once.

    Source: ten times the combined chlorine, `_CHLORINE_PER_COMBINED`; the limits are the knowledge's.
    """
    limits, combined = readings.knowledge.limits, readings.told("combined_chlorine") or 0.0
    stabiliser = readings.numbers.get("stabiliser", 0.0)
    if combined > limits.water_first_combined:
        return WaterFirst("combined", combined, limits.water_first_combined)
    if stabiliser > limits.water_first_stabiliser:
        return WaterFirst("stabiliser", stabiliser, limits.water_first_stabiliser)
    wanted = max(limits.strong_dose_least, _CHLORINE_PER_COMBINED * combined)
    return ChlorineDose(min(wanted, limits.chlorine_at_once), readings.volume_m3, wanted_ppm=wanted)


def chlorine_out(readings: PoolReadings) -> ChlorineOut | Enough | NotYet:
    """Neutraliser from far above the range to its upper end; none where sun and time bring it down in days.

    It is weighed for one pool or not at all: nobody multiplies up what eats the chlorine of the days to come.

    Raises:
        RangeError: the test lies outside what the formula holds for.
    """
    between, now = chlorine_range(readings), readings.told("free_chlorine", "owners_free_chlorine")
    if between is None or now is None:
        return NotYet(("chlorine", *volume_lack(readings)), "chlorine_out")
    if now < _WORTH_TAKING_OUT_PPM:
        return Enough(now, _WORTH_TAKING_OUT_PPM)
    if not readings.volume_m3:
        return NotYet(volume_lack(readings), "chlorine_out")
    return ChlorineOut(now, between[1], readings.volume_m3)

"""How much at once: the limits of doses, mixes and swaps, as whoever owns the knowledge has set them."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields


@dataclass(frozen=True)
class DoseLimits:
    """Limits of doses; the knowledge says each of them, with where it comes from.

    cleaning_mix_water: parts of water to one of acid in the strongest mix that a cell is cleaned with.
    salt_most: ppm; nothing is dosed beyond it. ph_least: no acid is dosed to less.
    strong_dose_least, chlorine_at_once: ppm that a strong dose of chlorine raises the test, at least and at most.
    water_first_combined, water_first_stabiliser: ppm by test from which water is swapped before a strong dose.
    hours_after_acid: before any chlorine. soda_ash_at_once: g in each m³.
    swap_at_once: share of the water that is out at one time, 0 to 1.
    swaps_most: swaps one after another; where more are needed, the test is doubted.
    pool_least, pool_most: m³ of a household's pool.
    """

    cleaning_mix_water: float
    salt_most: float
    ph_least: float
    strong_dose_least: float
    chlorine_at_once: float
    water_first_combined: float
    water_first_stabiliser: float
    hours_after_acid: float
    soda_ash_at_once: float
    swap_at_once: float
    swaps_most: float
    pool_least: float
    pool_most: float


LIMIT_NAMES: tuple[str, ...] = tuple(field.name for field in fields(DoseLimits))


@dataclass(frozen=True)
class Swaps:
    """Swaps of water one after another: how many, and the share of the pool that each takes, 0 to 1."""

    times: int
    each: float


def swaps_for(share: float, at_once: float) -> Swaps:
    """Equal swaps, fewest first, that together thin the water as one swap of `share` would.

    After n swaps of a share s, each filled up and mixed, (1 - s)^n is left of what was too much.

    Args:
        share: of the water in one swap, above 0, below 1.
        at_once: the most that one swap may take, above 0, below 1.

    Raises:
        ValueError: a share outside its range.

    Source: mass balance; the water that fills up holds nothing of it, or `share` already counts what it holds.
    """
    if not 0 < share < 1 or not 0 < at_once < 1:
        raise ValueError(f"shares of {share} and {at_once} cannot be swapped; both lie between 0 and 1")
    # What is a whole number of swaps but for the last bits of a float is no swap more.
    times = max(1, math.ceil(math.log(1 - share) / math.log(1 - at_once) - 1e-9))
    return Swaps(times, 1 - (1 - share) ** (1 / times))

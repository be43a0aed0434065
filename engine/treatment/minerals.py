"""Salt and stabiliser to add, and water to swap where there is too much of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from engine.chlorinator.dose_limits import Swaps, swaps_for
from engine.chlorinator.minerals import BICARBONATE, DIHYDRATE, STABILISER, Product, dose
from engine.chlorinator.water import drain_m3, salt_dose_kg
from engine.treatment.amounts import Enough, NotYet, volume_lack
from engine.treatment.readings import PoolReadings

_FIRST_SHARE = 2 / 3
"""Of a salt dose, what goes in first; volumes are seldom known better than to a sixth: common practice, no source."""

_HOSE_M3_H = 1.0

Mineral = Literal["stabiliser", "alkalinity", "hardness"]
_PRODUCTS: Mapping[Mineral, Product] = MappingProxyType(
    {"stabiliser": STABILISER, "alkalinity": BICARBONATE, "hardness": DIHYDRATE}
)
"""What is poured in to raise what the check of this id tells."""


@dataclass(frozen=True)
class SaltDose:
    """Salt from `now_ppm` to `target_ppm`; `volume_m3` is the pool, None where it is not known."""

    now_ppm: float
    target_ppm: float
    volume_m3: float | None

    def kg(self, volume_m3: float) -> float:
        """The dose for so much water, kg. Raises RangeError where the formula has no answer."""
        return salt_dose_kg(volume_m3, self.now_ppm, self.target_ppm)

    def first_kg(self, volume_m3: float) -> float:
        """What of it goes in before the salt is tested again, kg."""
        return self.kg(volume_m3) * _FIRST_SHARE


@dataclass(frozen=True)
class MineralDose:
    """What raises a test from `now_ppm` to `target_ppm`; `volume_m3` is the pool, None where it is not known."""

    mineral: Mineral
    now_ppm: float
    target_ppm: float
    volume_m3: float | None

    def kg(self, volume_m3: float) -> float:
        """The dose for so much water, kg. Raises RangeError where the formula has no answer."""
        return dose(_PRODUCTS[self.mineral], volume_m3, self.target_ppm - self.now_ppm)


@dataclass(frozen=True)
class WaterSwap:
    """Water to let out and fill afresh: the swaps one after another, and the check that shows too much.

    The check falls from `now` to `target`, in ppm; `volume_m3` is the pool, None where it is not known.
    `salt_back` is the salt that goes out with the water and is put back afterwards; None where none is, or where salt
    or volume are not known.
    """

    swaps: Swaps
    check: str
    now: float
    target: float
    volume_m3: float | None
    salt_back: SaltDose | None = None

    @property
    def of_salt(self) -> bool:
        """Whether it is salt that there is too much of."""
        return self.check == "tested_salt"

    @property
    def fill_h(self) -> float | None:
        """Hours in which a garden hose fills up what goes out in one swap; None where the volume is not known.

        A hose brings about a cubic metre an hour: common practice, no source.
        """
        return None if self.volume_m3 is None else self.swaps.each * self.volume_m3 / _HOSE_M3_H

    @property
    def days(self) -> int:
        """Days until all swaps are made and mixed: each takes its filling, where that is known, and a day's mixing."""
        return math.ceil(self.swaps.times * (1 + (self.fill_h or 0.0) / 24))


def salt_to_add(readings: PoolReadings) -> SaltDose | Enough | NotYet:
    """Salt from the tested value to the unit's ideal; the unit's own figure is no test."""
    now, target = readings.numbers.get("tested_salt"), readings.unit.values["salt.ideal"]
    if now is None:
        return NotYet(("salt", *volume_lack(readings)))
    return Enough(now, target) if now >= target else SaltDose(now, target, readings.volume_m3)


def mineral_to_add(mineral: Mineral, readings: PoolReadings) -> MineralDose | Enough | NotYet:
    """A mineral to the low end of its range and two errors of the test: too much is hard to take out again."""
    now, check = readings.numbers.get(mineral), readings.knowledge.checks.get(mineral)
    right = None if check is None else readings.should_be(check)
    if now is None or right is None or check is None:
        return NotYet((mineral, *volume_lack(readings)))
    target = right[0] + readings.two_errors(check, right[0])
    return Enough(now, target) if now >= target else MineralDose(mineral, now, target, readings.volume_m3)


def water_to_swap(readings: PoolReadings) -> WaterSwap | NotYet:
    """The water to let out first and fill afresh, for what there is too much of; never more at once than is safe.

    Where more swaps were needed than anybody makes, the test is doubted before any water goes.

    Raises:
        RangeError: a reading lies outside what the formula holds for.
    """
    found = []
    for name, ideal in (("tested_salt", readings.unit.values["salt.ideal"]), ("stabiliser", None)):
        now, check = readings.numbers.get(name), readings.knowledge.checks.get(name)
        limits = None if check is None else readings.should_be(check)
        if now is None or check is None or limits is None or now <= limits[1]:
            continue
        target = limits[1] - readings.two_errors(check, limits[1]) if ideal is None else ideal
        found.append((drain_m3(1.0, now, target), name, now, target))
    if not found:
        return NotYet(("too_high",), "swap")
    share, name, now, target = max(found)
    swaps = swaps_for(share, readings.knowledge.limits.swap_at_once)
    if swaps.times > readings.knowledge.limits.swaps_most:
        return NotYet(("test_doubted",), "swap")
    return WaterSwap(swaps, name, now, target, readings.volume_m3, _salt_back(swaps, readings))


def _salt_back(swaps: Swaps, readings: PoolReadings) -> SaltDose | None:
    """Salt from what is left of it after the swaps to the unit's ideal; fill water is taken to hold none."""
    tested, ideal = readings.numbers.get("tested_salt"), readings.unit.values["salt.ideal"]
    if tested is None or readings.volume_m3 is None:
        return None
    left = tested * (1 - swaps.each) ** swaps.times
    check = readings.knowledge.checks["tested_salt"]
    # Nearer to the ideal than a test can tell, nothing is put back: what is left of a swap down to it is its rounding.
    return SaltDose(left, ideal, readings.volume_m3) if left < ideal - readings.two_errors(check, ideal) else None

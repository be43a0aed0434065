"""How the water stands between taking lime up and leaving it, and at which pH it would do neither."""

from __future__ import annotations

from dataclasses import dataclass, replace

from engine.chlorinator.balance import PoolWater, water_index
from engine.chlorinator.limits import RangeError
from engine.treatment.acid import tested_water
from engine.treatment.amounts import Lack, NotYet, Outside
from engine.treatment.readings import PoolReadings

_TESTS: tuple[Lack, ...] = ("ph", "alkalinity", "stabiliser", "hardness")
_ROUNDS = 5
"""So often is the pH brought nearer; cyanurate's share moves with it, and a tenth of what is left stays each time."""


@dataclass(frozen=True)
class Balance:
    """Calcite index of the water as tested, and the pH at which it would be 0; `assumed` were taken as usual.

    That pH is None where no pH alone would bring it to 0 within what the index holds for.
    """

    water: PoolWater
    index: float
    balanced_ph: float | None
    assumed: tuple[str, ...]


def balance(readings: PoolReadings) -> Balance | NotYet | Outside:
    """The balance of the water as tested."""
    missing = tuple(test for test in _TESTS if test not in readings.numbers)
    tested = tested_water(readings)
    if missing or tested is None:
        return NotYet(missing, "balance")
    water, assumed = tested
    try:
        index = water_index(water)
    except RangeError:
        return Outside("answer")
    try:
        return Balance(water, index, balanced_ph(water), assumed)
    except RangeError:
        return Balance(water, index, None, assumed)


def balanced_ph(water: PoolWater) -> float:
    """The pH at which water of this hardness, alkalinity, salt and warmth has a calcite index of 0.

    Raises:
        RangeError: it lies, or the water lies, outside what `water_index` holds for.

    Resolution: 0.1, as `water_index`.
    Source: the definition of the index, pH less the pH of saturation, Standard Methods 2330 B (from memory).
    """
    for _ in range(_ROUNDS):
        water = replace(water, ph=water.ph - water_index(water))
    return water.ph

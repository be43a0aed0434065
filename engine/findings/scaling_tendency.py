"""Calcite index of the tested water: hardness, alkalinity and acidity weigh together and not each for itself."""

from __future__ import annotations

import math

from engine.chlorinator.balance import PoolWater, water_index
from engine.chlorinator.limits import RangeError
from engine.findings.readings import Readings, Spread, Weights, relative_sd

INDEX_SD = 0.1
"""How far open models of salt water differ on the calcite index, as `engine.chlorinator.balance.calcite_index`."""
INDEX_A_DEGREE = 0.015
"""Rise of the calcite index in a degree, from that formula at 25 degC."""


def index(read: Readings) -> Spread | None:
    """The index; None while hardness, alkalinity or acidity are missing, or where the formula does not hold."""
    if not read.have("ph", "hardness", "alkalinity"):
        return None
    names = ("ph", "water_temp", "hardness", "alkalinity", "stabiliser", "tested_salt")
    try:
        calcite = water_index(PoolWater(*(read.of(name)[0] for name in names)))
    except RangeError:
        return None
    tests = relative_sd(read.of("hardness"), read.of("alkalinity")) / math.log(10.0)
    return calcite, math.hypot(read.of("ph")[1], tests, INDEX_A_DEGREE * read.of("water_temp")[1], INDEX_SD)


def weights(read: Readings) -> Weights | None:
    """The index in its bands."""
    found = index(read)
    return None if found is None else read.in_bands(*found)


def figure(read: Readings) -> dict[str, float]:
    """`index`, positive where lime is left."""
    found = index(read)
    return {} if found is None else {"index": found[0]}

"""The cell's current over what this salt and temperature should give: current follows conductivity."""

from __future__ import annotations

import math
from functools import lru_cache

from engine.chlorinator.water import MAX_SALINITY, MAX_TEMPERATURE_C, MIN_TEMPERATURE_C, conductivity_ms_cm
from engine.findings.readings import Readings, Spread, Weights, relative_sd

_LEAST_SALT_PPM = 100.0


@lru_cache(maxsize=4096)
def _conductivity(salinity: float, temperature_c: float) -> float:
    """Kept for readings met again: the strategy tries the same few over and over."""
    return conductivity_ms_cm(salinity, temperature_c)


def rated_conductivity(read: Readings) -> float:
    """Of the water that the unit is rated in, mS/cm."""
    return _conductivity(read.unit.values["rated.salt"] / 1000.0, read.unit.values["rated.temperature"])


def expected_current(read: Readings) -> float:
    """Amperes that a clean cell draws in this water."""
    # The formula's end is near enough for a ratio beyond it.
    warmth = min(max(read.of("water_temp")[0], MIN_TEMPERATURE_C), MAX_TEMPERATURE_C)
    now = _conductivity(min(read.of("tested_salt")[0] / 1000.0, MAX_SALINITY), warmth)
    return read.unit.values["rated.current"] * now / rated_conductivity(read)


def current_over_expected(read: Readings) -> Spread | None:
    """The ratio and its standard deviation; None while the current or the salt is not known."""
    if not read.have("cell_current", "tested_salt") or read.of("tested_salt")[0] < _LEAST_SALT_PPM:
        return None
    current, salt, temperature = (read.of(name) for name in ("cell_current", "tested_salt", "water_temp"))
    ratio = current[0] / expected_current(read)
    # About 2 % of conductivity a degree: PSS-78 slope at 25 degC.
    spread = math.sqrt(relative_sd(salt, (max(current[0], 0.1), current[1])) ** 2 + (0.02 * temperature[1]) ** 2)
    return ratio, ratio * spread


def weights(read: Readings) -> Weights | None:
    """The ratio in its bands."""
    gap = current_over_expected(read)
    return None if gap is None else read.in_bands(gap[0], gap[1] + 0.01)


def figure(read: Readings) -> dict[str, float]:
    """`ratio`, of 1, and the current `expected_a`, A."""
    gap = current_over_expected(read)
    return {} if gap is None else {"ratio": gap[0], "expected_a": expected_current(read)}

"""In which range a number is taken as meant; pure."""

from __future__ import annotations

from engine.chlorinator.dose_limits import DoseLimits
from engine.knowledge.model import Check, UnitProfile

_VOLUME = "pool_volume"
_LOGARITHMIC = frozenset({"pH"})
_NO_TRUE_ZERO = frozenset({"°C"})
_COLDER_K, _WARMER_K = 12.0, 25.0
"""How far beyond the limits of its bands a pool's temperature still is meant: ice to 41 °C; judgement."""


def plausible_range(check: Check, unit: UnitProfile, limits: DoseLimits | None = None) -> tuple[float, float]:
    """The range in which a number is taken without asking back, from the limits of the check's bands.

    From a tenth of the lowest limit, ten times it where it lies below zero, to three times the highest, ten times where
    it is the only one: it says nothing of how far things go. On a logarithmic scale three whole units beyond both.
    Of a temperature, whose zero is only a convention, so many degrees beyond them: 60 at a pool was meant in °F.
    Of a pool's volume, what the limits of the knowledge say of a household's, where they are given.
    """
    if check.id == _VOLUME and limits is not None:
        return limits.pool_least, limits.pool_most
    ends = [band.under.value(unit) for band in check.bands if band.under is not None]
    if not ends:
        return check.possible or (float("-inf"), float("inf"))
    low, high = min(ends), max(ends)
    if check.unit in _NO_TRUE_ZERO:
        return low - _COLDER_K, high + _WARMER_K
    if check.unit in _LOGARITHMIC:
        return low - 3.0, high + 3.0
    return (low / 10.0 if low > 0 else low * 10.0), high * (3.0 if len(ends) > 1 else 10.0)

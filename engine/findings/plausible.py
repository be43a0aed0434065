"""In which range a number is taken as meant; pure."""

from __future__ import annotations

from engine.knowledge.model import Check, UnitProfile

_LOGARITHMIC = frozenset({"pH"})
_NO_TRUE_ZERO = frozenset({"°C", "°F"})


def plausible_range(check: Check, unit: UnitProfile) -> tuple[float, float]:
    """The range in which a number is taken without asking back, from the limits of the check's bands.

    From a tenth of the lowest limit to three times the highest; on a logarithmic scale three whole units beyond both.
    Of a temperature, whose zero is only a convention, all that can be is taken.
    """
    limits = [band.under.value(unit) for band in check.bands if band.under is not None]
    if not limits or check.unit in _NO_TRUE_ZERO:
        return check.possible or (float("-inf"), float("inf"))
    low, high = min(limits), max(limits)
    if check.unit in _LOGARITHMIC:
        return low - 3.0, high + 3.0
    return (low / 10.0 if low > 0 else low * 3.0), high * 3.0

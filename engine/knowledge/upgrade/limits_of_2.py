"""What the second form has and the first had not: a file of limits, as the program went by them until then."""

from __future__ import annotations

from collections.abc import Mapping

LIMITS_FILE = "limits.yaml"
_PRACTICE, _JUDGED = "common practice", "judgement"
_LIMITS: Mapping[str, tuple[str, str]] = {
    "cleaning_mix_water": ("10", _PRACTICE),
    "salt_most": ("6000", _JUDGED),
    "ph_least": ("7", _JUDGED),
    "strong_dose_least": ("10", _PRACTICE),
    "chlorine_at_once": ("20", _JUDGED),
    "water_first_combined": ("2", _JUDGED),
    "water_first_stabiliser": ("100", _JUDGED),
    "hours_after_acid": ("4", _JUDGED),
    "soda_ash_at_once": ("20", _JUDGED),
    "swap_at_once": ("a third", _PRACTICE),
    "swaps_most": ("4", _JUDGED),
    "pool_least": ("5", _JUDGED),
    "pool_most": ("500", _JUDGED),
}


def limits_text() -> str:
    """The text of the file."""
    lines = (f"- {{limit: {name}, is: {value}, source: {source}}}" for name, (value, source) in _LIMITS.items())
    return "\n".join((*lines, ""))

"""The American wire gauge: a cross-section from a number that falls as the wire grows."""

from __future__ import annotations

import math
import re

_TYPED = re.compile(
    r"(?:awg|#)\s*(?P<before>[0-9]{1,2}|[1-4]/0|0{1,4})|(?P<after>[0-9]{1,2}|[1-4]/0|0{1,4})\s*(?:awg|ga|gauge)"
)
_THINNEST = 40


def gauge_area_mm2(typed: str) -> float | None:
    """The cross-section of a wire whose gauge is typed, such as `10 awg`, `AWG 4/0` or `#12`, in mm².

    Returns: None where it is no gauge from 0000 to 40.

    Source: ASTM B258 (from memory): 36 AWG is 0.005 in across, 0000 is 0.46 in, with 39 equal steps of the
        ratio 92 between them; the area is that of the solid wire.
    """
    found = _TYPED.fullmatch(typed.strip().lower())
    if found is None:
        return None
    number = _number(found["before"] or found["after"])
    if number > _THINNEST:
        return None
    across_mm: float = 0.127 * 92 ** ((36 - number) / 39)
    return math.pi / 4 * across_mm**2


def _number(gauge: str) -> int:
    """A gauge as a number: 0 is itself, 00 or 2/0 is -1, 0000 is -3."""
    if gauge.endswith("/0"):
        return 1 - int(gauge[0])
    return 1 - len(gauge) if set(gauge) == {"0"} else int(gauge)

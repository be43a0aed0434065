"""Which test puts the water out of balance: alkalinity moves the acidity, and not the reverse."""

from __future__ import annotations

import math

from engine.findings.readings import Readings, Weights, normal_below, relative_sd
from engine.findings.scaling_tendency import index

MOST_PH = 7.8
"""Above it lime forms and chlorine is slow: the usual range is 7.2 to 7.8, Montana ARM 37.115.1308."""
MOST_ALKALINITY_PPM = 130.0
MOST_HARDNESS_PPM = 350.0
"""As `right` ends in the checks: common practice, no source; codes let more through (Montana 220 and 1000)."""
_TAKES_LIME_UP = -0.5
"""Below this index water eats plaster; charts call it in balance within 0.3 or 0.5 of 0: judgement."""


def weights(read: Readings) -> Weights | None:
    """Each driver; None while acidity, alkalinity or hardness are missing, or where the index does not hold.

    Too much alkalinity is the driver also where the acidity is high, as carbon dioxide leaves such water and the pH
    climbs back; where both alkalinity and hardness are too high each has half.
    """
    found = index(read)
    if found is None:
        return None
    ph, alkalinity, hardness = read.of("ph"), read.of("alkalinity"), read.of("hardness")
    high_ph = normal_below((ph[0] - MOST_PH) / ph[1])
    high_alkalinity = _above(alkalinity, MOST_ALKALINITY_PPM)
    high_hardness = _above(hardness, MOST_HARDNESS_PPM)
    neither = (1.0 - high_alkalinity) * (1.0 - high_hardness)
    rest = neither * (1.0 - high_ph)
    low = normal_below((_TAKES_LIME_UP - found[0]) / found[1])
    shares = {
        "none": rest * (1.0 - low),
        "low": rest * low,
        "ph": neither * high_ph,
        "alkalinity": high_alkalinity * (1.0 - high_hardness / 2.0),
        "hardness": high_hardness * (1.0 - high_alkalinity / 2.0),
    }
    return tuple(shares[answer.id] for answer in read.finding.answers)


def _above(test: tuple[float, float], limit: float) -> float:
    return normal_below(math.log(max(test[0], 1.0) / limit) / relative_sd(test))

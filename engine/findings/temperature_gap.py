"""The unit's temperature against a thermometer."""

from __future__ import annotations

import math

from engine.findings.readings import Readings, Weights


def weights(read: Readings) -> Weights | None:
    """The difference in its bands; None while either is missing."""
    if not read.have("unit_temp", "water_temp"):
        return None
    shown, measured = read.of("unit_temp"), read.of("water_temp")
    return read.in_bands(shown[0] - measured[0], math.hypot(shown[1], measured[1]))

"""The unit's salt number over a salt test."""

from __future__ import annotations

import math

from engine.findings.readings import Readings, Spread, Weights, relative_sd

UNIT_SALT_LOG_SD = 0.05
"""How far two sound salt measurements, the unit's and a test's, differ beyond their reading errors: judgement."""


def ratio(read: Readings) -> Spread | None:
    """What the unit shows as a share of what the test found; None while either is missing or the test found none."""
    if not read.have("unit_salt", "tested_salt") or read.of("tested_salt")[0] <= 0:
        return None
    shown, tested = read.of("unit_salt"), read.of("tested_salt")
    share = shown[0] / tested[0]
    spread = math.hypot(relative_sd(tested, (max(shown[0], 1.0), shown[1])), UNIT_SALT_LOG_SD)
    return share, share * spread + 0.005


def weights(read: Readings) -> Weights | None:
    """The share in its bands."""
    found = ratio(read)
    return None if found is None else read.in_bands(*found)


def figure(read: Readings) -> dict[str, float]:
    """`ratio`, of 1."""
    found = ratio(read)
    return {} if found is None else {"ratio": found[0]}

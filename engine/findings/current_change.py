"""The cell's current over that of the last visit."""

from __future__ import annotations

import math

from engine.findings.readings import Readings, Weights, relative_sd

WATER_LOG_SD = 0.12
"""How far sound currents of two visits differ by temperature and salt alone: judgement (2 % a degree, 5 °C apart)."""


def weights(read: Readings) -> Weights | None:
    """The share in its bands; None while either is missing or there was none then."""
    if not read.have("cell_current", "current_then") or read.of("current_then")[0] <= 0:
        return None
    now, then = read.of("cell_current"), read.of("current_then")
    share = now[0] / then[0]
    spread = math.hypot(relative_sd((max(now[0], 0.1), now[1]), then), WATER_LOG_SD)
    return read.in_bands(share, share * spread + 0.01)


def figure(read: Readings) -> dict[str, float]:
    """The `share` of the current then that flows now, of 1."""
    if not read.have("cell_current", "current_then") or read.of("current_then")[0] <= 0:
        return {}
    return {"share": read.of("cell_current")[0] / read.of("current_then")[0]}

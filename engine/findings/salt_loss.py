"""Salt lost in a month: what a test shows against the one before, at a pool to which none was added between."""

from __future__ import annotations

import math

from engine.findings.readings import Readings, Weights

LEAST_MONTHS = 0.5
"""In less than half a month the error of two tests is more than any loss: judgement."""


def loss_ppm_month(before_ppm: float, now_ppm: float, months: float) -> float:
    """The salt that went missing in each month, in ppm; below nothing where there is more than before. Arithmetic."""
    return (before_ppm - now_ppm) / months


def weights(read: Readings) -> Weights | None:
    """The loss in its bands; None while a reading is missing, or where the two are of nearly the same day."""
    if not read.have("tested_salt", "salt_then", "months_since_salt_test"):
        return None
    (now, now_sd), (before, before_sd) = read.of("tested_salt"), read.of("salt_then")
    months, _ = read.of("months_since_salt_test")
    if months < LEAST_MONTHS:
        return None
    return read.in_bands(loss_ppm_month(before, now, months), math.hypot(now_sd, before_sd) / months + 1.0)


def figure(read: Readings) -> dict[str, float]:
    """The `loss` in ppm a month."""
    if not read.have("tested_salt", "salt_then", "months_since_salt_test"):
        return {}
    months = read.of("months_since_salt_test")[0]
    if months < LEAST_MONTHS:
        return {}
    return {"loss": loss_ppm_month(read.of("salt_then")[0], read.of("tested_salt")[0], months)}

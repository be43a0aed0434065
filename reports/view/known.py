"""What the computations of a sheet may use, and figures rounded to what a dose is worth."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from engine.model import Check, Knowledge, UnitProfile
from engine.quantities import show_quantity

__all__ = ["USUAL_WATER_C", "VOLUME", "Known", "two_digits", "whole"]

VOLUME = "how much water the pool holds"
"""How the pool's volume is named where it is missing."""
USUAL_WATER_C = 25.0
"""Water temperature where none was read, as in the derived findings."""


@dataclass(frozen=True)
class Known:
    """What a computation may use: the numbers read (by check, in the check's unit), the knowledge, the unit profile."""

    numbers: Mapping[str, float]
    knowledge: Knowledge
    unit: UnitProfile

    def limits(self, check: str, band: str) -> tuple[float, float] | None:
        """From where to where a band runs, None where the knowledge has no such band."""
        item = self.knowledge.checks.get(check)
        if item is None or band not in [b.id for b in item.bands]:
            return None
        place = [b.id for b in item.bands].index(band)
        upper = item.bands[place].under
        lower = item.bands[place - 1].under if place else None
        return (lower.value(self.unit) if lower else -math.inf), (upper.value(self.unit) if upper else math.inf)

    def two_errors(self, check: Check, reading: float) -> float:
        """Twice the usual instrument's error at a reading: nearer to a limit a test cannot tell."""
        return 2.0 * check.error.of(reading) if check.error is not None else 0.0

    def usual(self, finding: str, check: str) -> float | None:
        """The middle of the usual spread of a reading that may be missing, as a derived finding takes it."""
        item = self.knowledge.findings.get(finding)
        assumption = item.assume.get(check) if item is not None else None
        return None if assumption is None else assumption.points[0][0]

    @property
    def water_c(self) -> float | None:
        """The water's temperature, °C: by thermometer, else as the unit shows it, else None."""
        return self.numbers.get("water_temp", self.numbers.get("unit_temp"))


def two_digits(value: float) -> float:
    """A number rounded to two digits, as no dose by hand is measured better."""
    return round(value, 1 - math.floor(math.log10(value))) if value > 0 else 0.0


def whole(value: float, unit: str) -> str:
    """A quantity without a fraction, or to three digits where it is small."""
    return show_quantity(float(round(value)) if value >= 5 else value, unit)

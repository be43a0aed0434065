"""What doses, settings and the plan may use: the numbers read, and what the knowledge says of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from engine.knowledge.model import Check, Knowledge, UnitProfile
from engine.knowledge.properties import Reading

USUAL_WATER_C = 25.0
"""Water temperature where none was read, as in the derived findings."""


@dataclass(frozen=True)
class PoolReadings:
    """The numbers read (by check, in the check's unit), the knowledge, and the unit profile."""

    numbers: Mapping[str, float]
    knowledge: Knowledge
    unit: UnitProfile

    def told(self, *readings: Reading) -> float | None:
        """The first of these readings that was taken, in its check's unit; None where none was."""
        checks = (check for reading in readings for check in self.knowledge.checks_telling(reading))
        return next((self.numbers[check.id] for check in checks if check.id in self.numbers), None)

    def should_be(self, check: Check) -> tuple[float, float] | None:
        """From where to where a number is as it should be, None where the knowledge does not say."""
        bands = [band.id for band in check.bands]
        if check.should_be not in bands:
            return None
        place = bands.index(check.should_be)
        upper = check.bands[place].under
        lower = check.bands[place - 1].under if place else None
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
    def volume_m3(self) -> float | None:
        """How much water the pool holds, m³; None where nobody said, or said what no household's pool holds."""
        return None if self.volume_is_doubted else self.numbers.get("pool_volume")

    @property
    def volume_is_doubted(self) -> bool:
        """Whether the volume that was said is hardly that of a household's pool, by the limits of the knowledge."""
        said, limits = self.numbers.get("pool_volume"), self.knowledge.limits
        return said is not None and not limits.pool_least <= said <= limits.pool_most

    @property
    def water_c(self) -> float | None:
        """The water's temperature, °C: by thermometer, else as the unit shows it, else None."""
        return self.numbers.get("water_temp", self.numbers.get("unit_temp"))

    @property
    def chlorine_rate(self) -> tuple[float, bool]:
        """Chlorine at full output, g/h, and whether that is only the profile's, as the label was not read."""
        rate = self.numbers.get("rated_output")
        return (self.unit.values["rated.chlorine"], True) if rate is None else (rate, False)

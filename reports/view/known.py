"""What the computations of a sheet may use, and figures rounded to what a dose is worth."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from engine.foundation.texts import say
from engine.knowledge.model import Check, Knowledge, UnitProfile
from engine.knowledge.properties import Reading
from engine.quantities.quantity import show_number, show_quantity
from engine.quantities.unit_systems import System, in_system, round_to, show_in

USUAL_WATER_C = 25.0
"""Water temperature where none was read, as in the derived findings."""


@dataclass(frozen=True)
class KnownReadings:
    """What a computation may use: the numbers read (by check, in the check's unit), the knowledge, the unit profile.

    `units` are those that the reader wants; every figure leaves through one of the methods below.
    """

    numbers: Mapping[str, float]
    knowledge: Knowledge
    unit: UnitProfile
    units: System = "metric"

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
    def water_c(self) -> float | None:
        """The water's temperature, °C: by thermometer, else as the unit shows it, else None."""
        return self.numbers.get("water_temp", self.numbers.get("unit_temp"))

    def show(self, value: float, unit: str) -> str:
        """A quantity in the reader's units, to what a reading is worth."""
        return quantity(value, unit, self.units)

    def whole(self, value: float, unit: str) -> str:
        """A quantity without a fraction, or to three digits where it is small."""
        size, wanted = in_system(value, unit, self.units)
        size = float(round(size)) if size >= 5 else size
        # To whole numbers first: of 16.549, three digits make 16.5, and that no longer tells which whole one is nearer.
        return show_quantity(round_to(size, 3) if wanted != unit else size, wanted)

    def poured(self, litres: float) -> str:
        """A liquid to be measured out, to three digits in litres and to two in all smaller measures."""
        if self.units == "us":
            size, wanted = in_system(litres, "L", "us")
            return show_quantity(round_to(size, 2), wanted)
        return show_quantity(litres, "L") if litres >= 1 else show_quantity(two_digits(litres * 1000), "mL")

    def poured_down(self, litres: float) -> str:
        """A liquid of which too much does harm: to two digits, never above what was worked out."""
        metric = (litres, "L") if litres >= 1 else (litres * 1000, "mL")
        size, wanted = in_system(litres, "L", "us") if self.units == "us" else metric
        # Shown with all its digits: what a reading in that unit is worth could round it up again.
        return f"{show_number(round_to(size, 2, 'down'), 6)} {wanted}"

    @property
    def each_volume(self) -> tuple[float, str]:
        """The volume, m³, that a dose is told for where the pool's is not known, and how the reader calls it."""
        return (37.85411784, "10 000 US gal") if self.units == "us" else (10.0, "10 m³ (10 000 L)")

    @property
    def small_volume(self) -> tuple[float, str]:
        """As `each_volume`, for what is weighed: a tenth of it."""
        return (3.785411784, "1000 US gal") if self.units == "us" else (1.0, "m³ (1000 L)")


def two_digits(value: float) -> float:
    """A number rounded to two digits, as no dose by hand is measured better."""
    return round(value, 1 - math.floor(math.log10(value))) if value > 0 else 0.0


def quantity(value: float, unit: str, units: System) -> str:
    """A quantity in the reader's units and words: a span of time is spelt out in the language in use."""
    if unit not in ("days", "months", "years"):
        return show_in(value, unit, units)
    number = show_quantity(value, unit).split()[0]
    return say(f"view.spans.{unit}.one") if number == "1" else say(f"view.spans.{unit}.many", number=number)

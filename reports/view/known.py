"""The readings of a job as its reader is shown them: figures rounded to what a dose is worth."""

from __future__ import annotations

import math
from dataclasses import dataclass

from engine.foundation.texts import say
from engine.quantities.quantity import show_number, show_quantity
from engine.quantities.unit_systems import System, in_system, round_to, show_in
from engine.treatment.readings import PoolReadings


@dataclass(frozen=True)
class KnownReadings(PoolReadings):
    """The readings of a job, and `units`, those that the reader wants: each figure leaves by one of these methods."""

    units: System = "metric"

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

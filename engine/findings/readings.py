"""What a derived finding is worked out from: readings with their errors, and usual spreads where none was taken."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from engine.knowledge.model import Band, Finding, UnitProfile

Spread = tuple[float, float]
"""A number and its standard deviation."""
Weights = tuple[float, ...]
"""P(readings | answer) up to a constant, in the order of the finding's answers."""

STAND_INS: Mapping[str, str] = MappingProxyType({"water_temp": "unit_temp"})
"""A reading that is taken where another is missing."""
BY_PROFILE: Mapping[str, str] = MappingProxyType({"rated_output": "rated.chlorine"})
"""A reading whose usual value the unit's profile says, so that a sheet has one assumption of it and not two."""


@dataclass(frozen=True)
class Readings:
    """The readings that a finding is worked out from, by their checks, each in its check's unit with its error."""

    finding: Finding
    unit: UnitProfile
    numbers: Mapping[str, Spread]

    def have(self, *names: str) -> bool:
        """Whether all of these were read."""
        return self.numbers.keys() >= set(names)

    def of(self, name: str) -> Spread:
        """A reading, else what stands in for it, else its usual spread. Raises KeyError where there is none of them."""
        for read in (name, STAND_INS.get(name, name)):
            if read in self.numbers:
                return self.numbers[read]
        usual = self.finding.assume[name]
        middle, width = usual_middle(self.finding, self.unit, name), usual.points[0][1]
        # A factor counts as that relative deviation.
        return (middle, width) if usual.kind == "normal" else (middle, middle * math.log(width))

    def in_bands(self, mean: float, sd: float) -> Weights:
        """Share of Normal(mean, sd) in each band of the finding."""
        return band_weights(self.finding.bands, [answer.id for answer in self.finding.answers], self.unit, mean, sd)


def usual_middle(finding: Finding, unit: UnitProfile, name: str) -> float:
    """What a missing reading is usually: by the unit's profile, else the likeliest that the finding assumes."""
    usual = finding.assume[name]
    if name in BY_PROFILE:
        return unit.values[BY_PROFILE[name]]
    return max(usual.points, key=lambda point: point[1])[0] if usual.kind == "mixture" else usual.points[0][0]


def band_weights(
    bands: Sequence[Band], order: Sequence[str], unit: UnitProfile, mean: float, sd: float
) -> tuple[float, ...]:
    """Share of Normal(mean, sd) in each band, end bands open, in the order of `order`. Sums to 1."""
    shares = {}
    below = 0.0
    for band in bands:
        upto = 1.0 if band.under is None else normal_below((band.under.value(unit) - mean) / sd)
        shares[band.id] = max(0.0, upto - below)
        below = max(below, upto)
    return tuple(shares[answer] for answer in order)


def normal_below(z: float) -> float:
    """P(X < z) of the standard normal distribution."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def relative_sd(*values: Spread) -> float:
    """Relative standard deviation of a product or quotient of independent readings."""
    return math.sqrt(sum((sd / max(abs(value), 1e-9)) ** 2 for value, sd in values))

"""Readings that are what one number is over another: a gauge over its clean mark, chlorine at dusk over dawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from engine.knowledge.said import SaidOf
from interview.understanding.quantities_said.figures import Figure
from interview.understanding.quantities_said.values import Values
from interview.understanding.quantities_said.weighing import Beside

SURELY = 9.0
"""What such a reading weighs: it is hardly anything else."""
_ITSELF, _BASE, _NUMBER, _APART = 0.7, 0.5, 0.3, 0.2
"""From which weights on a difference is heard, and what numbers further apart lose: judgement."""


@dataclass(frozen=True)
class CheckReading:
    """A number as a check's: its value in the check's unit, and how far that is certain."""

    check: str
    value: float
    weight: float
    first: int
    last: int
    likely: bool = True
    loose: bool = False


def differences(
    figures: Sequence[Figure], said_of: Mapping[str, SaidOf], values: Values, beside: Beside
) -> list[tuple[CheckReading, int, int]]:
    """The readings that are differences, with the places of both numbers: twice the same where one says it itself."""
    beside = replace(beside, kept=[(figure, figure.first) for figure in figures])
    found = []
    for name, said in said_of.items():
        if name in values.checks and (said.base or said.over or said.under):
            told = _Told(name, figures, values, beside)
            found += [each for each in (told.itself() or told.of_two(),) if each is not None]
    return found


@dataclass(frozen=True)
class _Told:
    """What a line tells of one check of this kind."""

    check: str
    figures: Sequence[Figure]
    values: Values
    beside: Beside

    def itself(self) -> tuple[CheckReading, int, int] | None:
        """The difference as one number: `6 psi over clean`."""
        over, under = self._near("over"), self._near("under")
        best = max(range(len(self.figures)), key=lambda k: max(over[k], under[k]), default=None)
        if best is None or max(over[best], under[best]) < _ITSELF:
            return None
        figure, value = self.figures[best], self._values()[best]
        assert value is not None
        signed = -value if under[best] > over[best] else value
        return CheckReading(self.check, signed, SURELY, figure.first, figure.last), figure.first, figure.first

    def of_two(self) -> tuple[CheckReading, int, int] | None:
        """One number less another: `18 psi, normally 12`."""
        bases = self._near("base")
        # A unit of its kind says of which check a number is too: `13 psi, and 11 is his clean`.
        united = [
            bool(figure.unit) and value is not None for figure, value in zip(self.figures, self._values(), strict=True)
        ]
        numbers = [max(near, _ITSELF * has) for near, has in zip(self._near("number"), united, strict=True)]
        base = max(range(len(self.figures)), key=lambda k: bases[k], default=None)
        if base is None or bases[base] < _BASE:
            return None
        known = self._values()
        others = [k for k in range(len(self.figures)) if k != base and known[k] is not None]
        now = max(others, key=lambda k: numbers[k] - _APART * abs(k - base), default=None)
        if now is None or max(numbers[now], numbers[base]) < _NUMBER:
            return None
        known = self._values(self.figures[now].unit or self.figures[base].unit)
        high, low = known[now], known[base]
        if high is None or low is None:
            return None
        first, second = self.figures[now], self.figures[base]
        start, end = min(first.first, second.first), max(first.last, second.last)
        return CheckReading(self.check, high - low, SURELY, start, end), first.first, second.first

    def _values(self, unit: str = "") -> list[float | None]:
        """The numbers in the check's unit; those without a unit in this one, if any."""
        check = self.values.checks[self.check]
        united = (replace(figure, unit=figure.unit or unit) for figure in self.figures)
        return [self.values.value_of(figure, check, signed=True) for figure in united]

    def _near(self, kind: str) -> list[float]:
        """How strongly each number is said to be of this kind."""
        pairs = zip(self.figures, self._values(), strict=True)
        return [0.0 if v is None else self.beside.of(self.check, f, f.first, kind) for f, v in pairs]

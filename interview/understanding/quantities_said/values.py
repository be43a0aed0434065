"""A number as a check's value: in which unit it may have been meant, and whether it can be."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from engine.knowledge.model import Check
from engine.quantities.quantity import QuantityError
from engine.quantities.unit_systems import unit_asked_in
from engine.quantities.units import ASK_WHICH, UNIT_NAMES, UNITS, convert, customary
from interview.understanding.numbers import in_signs, read_typed
from interview.understanding.quantities_said.figures import Figure
from interview.understanding.units_typed import is_plain_degrees

_SAME = 1e-6
_GROUPED = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}")
_SELDOM_ZERO = frozenset({"temperature", "age"})
_POLES = frozenset({"voltage", "current"})
"""Kinds whose sign says only how the leads of the meter were held."""
_IN_ANOTHER_UNIT = frozenset({"concentration", "temperature"})
"""Kinds of which people leave the unit away, and may mean another than the question's."""


@dataclass(frozen=True)
class Values:
    """The checks with a unit, and between which numbers each mostly lies."""

    checks: Mapping[str, Check]
    plausible: Callable[[Check], tuple[float, float]]

    def value_of(self, figure: Figure, check: Check, signed: bool = False) -> float | None:
        """The number in a check's unit; None where it can be none of this check's."""
        assert check.unit is not None
        assert check.possible is not None
        if is_plain_degrees(figure.unit) and UNITS[check.unit].kind == "temperature":
            # `25 degrees`, and nothing of whose: as a bare number.
            figure = replace(figure, unit="")
        figure = self._ungrouped(self._per_hour(figure, check), check)
        try:
            value = read_typed(figure.typed, check.unit, "", check.possible).value
        except QuantityError:
            return next(iter(self._sized(figure, check)), None)
        low, high = check.possible
        if UNITS[check.unit].kind in _POLES:
            value = abs(value)
        if not signed and not figure.unit and not self.is_likely(check.id, value):
            value = self._in_another_unit(value, check)
        return value if signed or low <= value <= high else None

    def _per_hour(self, figure: Figure, check: Check) -> Figure:
        """What a unit makes, told without the time: a `15 gram unit` makes so much an hour."""
        per_hour = f"{in_signs(figure.unit)}/h"
        grams = UNITS[str(check.unit)].kind == "rate" and in_signs(figure.unit) == "g"
        return replace(figure, unit=per_hour) if grams else figure

    def _ungrouped(self, figure: Figure, check: Check) -> Figure:
        """`2,450` as 2450 where that is likely, and as it is typed where it is not."""
        if figure.unit or not _GROUPED.fullmatch(figure.number):
            return figure
        whole = replace(figure, number=re.sub("[.,]", "", figure.number))
        return whole if self.is_likely(check.id, float(whole.number)) else figure

    def _in_another_unit(self, bare: float, check: Check) -> float:
        """A bare number that is not likely, in the one other unit in which it is: `2.7` of salt is g/L."""
        assert check.unit is not None
        low, high = self.plausible(check)
        likely = set()
        for unit in UNIT_NAMES if UNITS[check.unit].kind in _IN_ANOTHER_UNIT else ():
            if unit != check.unit:
                try:
                    value = convert(bare, unit, check.unit)
                except ValueError:
                    continue
                if low <= value <= high and value > 0:
                    likely.add(round(value, 6))
        return likely.pop() if len(likely) == 1 else bare

    def is_as_typed(self, figure: Figure, check: str, value: float) -> bool:
        """Whether a bare number is in the unit that the check is asked in, and not in another."""
        unit = str(self.checks[check].unit)
        asked = convert(value, unit, unit_asked_in(unit))
        for sign in ("", "."):
            try:
                if abs(float(figure.number.replace(",", sign)) - asked) < _SAME:
                    return True
            except ValueError:
                continue
        return False

    def other_size(self, figure: Figure, check: Check) -> float | None:
        """The other value of a unit of two sizes, as gallons are, where both are likely."""
        sizes = self._sized(figure, check)
        return sizes[1] if len(sizes) > 1 else None

    def _sized(self, figure: Figure, check: Check) -> list[float]:
        """The values of a figure whose unit has two sizes: those that are likely, else none."""
        found = []
        spelled = figure.unit.lower()
        sizes = ASK_WHICH.get(spelled, ())[:2]
        in_us_units = unit_asked_in(str(check.unit)) != check.unit
        for unit in (customary(spelled),) if sizes and in_us_units else sizes:
            try:
                value = read_typed(f"{figure.number} {unit}", str(check.unit), "", check.possible).value
            except QuantityError:
                continue
            if self.is_likely(check.id, value):
                found.append(value)
        return found

    def is_likely(self, check: str, value: float) -> bool:
        """Whether a value is between the numbers where a check's mostly lies, or nothing at all.

        Nothing is no likely temperature or age: such a zero is rather of something that is made or put in.
        """
        low, high = self.plausible(self.checks[check])
        nothing = value == 0 and UNITS[str(self.checks[check].unit)].kind not in _SELDOM_ZERO
        return nothing or low <= value <= high

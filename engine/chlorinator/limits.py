"""Where a formula holds: the one error for values outside it, and the checks that raise it."""

from __future__ import annotations

import math

from engine.foundation.texts import say, told
from engine.quantities.quantity import figure


class RangeError(ValueError):
    """A value for which a computation has no answer.

    Attributes:
        wrong: what is wrong, with the value and its unit.
        instead: what to do instead.
    """

    def __init__(self, wrong: str, instead: str) -> None:
        super().__init__(wrong, instead)
        self.wrong = wrong
        self.instead = instead

    def __str__(self) -> str:
        return f"{self.wrong}; {self.instead}"


def _named(name: str) -> str:
    return say(f"limits.names.{name}")


def _shown(name: str, value: float, unit: str) -> str:
    return f"{_named(name)} {figure(value, '.10g')} {unit}".rstrip()


def require_between(name: str, value: float, low: float, high: float, unit: str = "", instead: str = "") -> None:
    """Refuse a value outside the closed range `low` to `high`, or not a number.

    Args:
        name: what it is, by its name in the words `limits.names`.
        value: the value, in `unit`.
        low: the lowest that the formula covers.
        high: the highest.
        unit: its unit; left out for a bare number.
        instead: the advice, by its name in the words `limits.instead`; by default to check the value.

    Raises:
        RangeError: it is outside.
    """
    if not low <= value <= high:
        highest = f"{figure(high)} {unit}".rstrip()
        wrong = say("limits.outside", value=_shown(name, value, unit), low=figure(low), high=highest)
        raise RangeError(wrong, say(f"limits.instead.{instead}") if instead else say("limits.check", name=_named(name)))


def require_above_zero(name: str, value: float, unit: str = "") -> None:
    """Refuse a size that is zero, negative, infinite or not a number.

    Raises:
        RangeError: it is such a value.
    """
    if not 0 < value < math.inf:
        raise RangeError(*told("limits.no_size", value=_shown(name, value, unit), name=_named(name)))


def require_not_negative(name: str, value: float, unit: str = "") -> None:
    """Refuse an amount below zero, infinite or not a number.

    Raises:
        RangeError: it is such a value.
    """
    if not 0 <= value < math.inf:
        raise RangeError(*told("limits.no_amount", value=_shown(name, value, unit), name=_named(name)))


def require_ph(value: float, low: float = 0, high: float = 14, name: str = "ph") -> None:
    """Refuse what no pH meter shows, then what the formula does not cover.

    Raises:
        RangeError: `value` is outside 0 to 14, or outside `low` to `high`.
    """
    if not 0 <= value <= 14:
        raise RangeError(*told("limits.no_ph", value=_shown(name, value, "")))
    require_between(name, value, low, high, instead="small_doses")


def require_whole(name: str, value: float) -> None:
    """Refuse a count that is not a whole number of 1 or more.

    Raises:
        RangeError: it is none.
    """
    if not 1 <= value < math.inf or value != int(value):
        raise RangeError(*told("limits.no_count", value=_shown(name, value, ""), name=_named(name)))

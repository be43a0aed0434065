"""Where a formula holds: the one error for values outside it, and the checks that raise it."""

from __future__ import annotations

import math

__all__ = [
    "RangeError",
    "require_above_zero",
    "require_between",
    "require_not_negative",
    "require_ph",
    "require_whole",
]


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


def _named(name: str, value: float, unit: str) -> str:
    return f"{name} {value:.10g} {unit}".rstrip()


def require_between(name: str, value: float, low: float, high: float, unit: str = "", instead: str = "") -> None:
    """Refuse a value outside the closed range `low` to `high`, or not a number.

    Raises:
        RangeError: it is outside; `instead` is the advice, by default to check the value.
    """
    if not low <= value <= high:
        range_shown = f"{low:g} to {high:g} {unit}".rstrip()
        raise RangeError(
            f"{_named(name, value, unit)} is outside {range_shown}, where the formula holds",
            instead or f"check the {name}, or measure what is wanted instead of computing it",
        )


def require_above_zero(name: str, value: float, unit: str = "") -> None:
    """Refuse a size that is zero, negative, infinite or not a number.

    Raises:
        RangeError: it is such a value.
    """
    if not 0 < value < math.inf:
        raise RangeError(f"{_named(name, value, unit)} is no size", f"give a {name} above 0")


def require_not_negative(name: str, value: float, unit: str = "") -> None:
    """Refuse an amount below zero, infinite or not a number.

    Raises:
        RangeError: it is such a value.
    """
    if not 0 <= value < math.inf:
        raise RangeError(f"{_named(name, value, unit)} is no amount", f"give a {name} of 0 or more")


def require_ph(value: float, low: float = 0, high: float = 14, name: str = "pH") -> None:
    """Refuse what no pH meter shows, then what the formula does not cover.

    Raises:
        RangeError: `value` is outside 0 to 14, or outside `low` to `high`.
    """
    if not 0 <= value <= 14:
        raise RangeError(f"{_named(name, value, '')} is outside 0 to 14", "measure the pH again")
    require_between(name, value, low, high, instead="bring the pH nearer to 7.5 with small doses and measure again")


def require_whole(name: str, value: float) -> None:
    """Refuse a count that is not a whole number of 1 or more.

    Raises:
        RangeError: it is none.
    """
    if not 1 <= value < math.inf or value != int(value):
        raise RangeError(f"{_named(name, value, '')} is no count", f"give {name} as 1, 2, 3 ...")

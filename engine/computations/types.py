"""The form of a computation: its keys, its inputs as read, its answer, and the finished result."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from engine.chlorinator.dose_limits import DoseLimits
from engine.foundation.texts import say
from engine.quantities.quantity import figure, show_number, show_quantity

Value = float | int | bool | str | None
"""What an input or a result may be; None where there is nothing to say."""


_MOST_DIGITS = 9


class ComputationError(ValueError):
    """A computation that cannot be done with what was given; its text is one clear line."""


class DoubtedError(ComputationError):
    """A computation that is done only for whoever says that it is really meant."""


@dataclass(frozen=True)
class Key:
    """One input of a computation.

    Attributes:
        name: as it is typed before the equals sign.
        unit: the unit of a bare number, one of `engine.quantities.quantity.UNIT_NAMES`; empty for a word.
        about: what it is, by its name in the words `compute_keys`.
        default: taken when the key is left out; None where there is no default.
        optional: whether it may be left out although it has no default.
        choices: the words it may be, for a word.
        possible: lowest and highest value that can be meant, to settle `1.200`.
        usual: lowest and highest value that is not doubted, in `unit`; nothing at all (0) never is. Wide on purpose:
            it is there for slips of the unit, by a thousand or so, and not for odd pools. Judgement, unless it is
            where a formula ends.
        decimals: how many a working shows at most, without the unit; None where the unit says it.
    """

    name: str
    unit: str
    about: str
    default: float | str | None = None
    optional: bool = False
    choices: tuple[str, ...] = ()
    possible: tuple[float, float] | None = None
    usual: tuple[float, float] | None = None
    decimals: int | None = None

    @property
    def meaning(self) -> str:
        """What it is, in a few words."""
        return say(f"compute_keys.{self.about}")

    @property
    def required(self) -> bool:
        """Whether the computation cannot do without it."""
        return self.default is None and not self.optional

    def show(self, value: float | str) -> str:
        """Show a value of this key as a working does."""
        if isinstance(value, str):
            return value
        if self.unit == "SP":
            return significant(value, 3)
        return show_quantity(value, self.unit) if self.decimals is None else show_number(value, self.decimals)


@dataclass(frozen=True)
class KeyedValue:
    """The inputs of one computation, read into the units of its keys, and the limits of doses where they hold."""

    values: Mapping[str, Value]
    keys: tuple[Key, ...]
    limits: DoseLimits | None = None

    def shown(self, **more: object) -> Mapping[str, object]:
        """Give every input as a working shows it, by its name, and `more` fields, which come first."""
        given = ((key, self.values[key.name]) for key in self.keys)
        return {key.name: key.show(value) for key, value in given if value is not None} | more

    def numbers(self, *keys: str) -> tuple[float, ...]:
        """Give the numbers of keys that are always there."""
        return tuple(map(self.number, keys))

    def number(self, key: str) -> float:
        """Give the number of a key that is always there."""
        value = self.maybe(key)
        if value is None:
            raise ComputationError(say("compute.refused.missing_one", key=key))
        return value

    def maybe(self, key: str) -> float | None:
        """Give the number of a key, or None where it was left out."""
        value = self.values[key]
        return float(value) if isinstance(value, (int, float)) else None

    def word(self, key: str) -> str:
        """Give the word of a key."""
        return str(self.values[key])


@dataclass(frozen=True)
class Result:
    """What a computation finds: full-precision results, and lines as honest as the inputs are."""

    results: Mapping[str, Value]
    working: tuple[str, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Entry:
    """One computation of the catalogue.

    Attributes:
        name: its name on the command line.
        keys: its inputs, in the order they are shown.
        work: from inputs to answer; raises `RangeError` where there is none.
        origin: where the formula and its constants come from, by its name in the words `compute_sources`.
        occasions: what acting on the answer is; the cautions told for that belong to it.
        verdicts: the words its `verdict` may be, where it has one.
        example: inputs that show how it is asked.
    """

    name: str
    keys: tuple[Key, ...]
    work: Callable[[KeyedValue], Result]
    origin: str
    occasions: tuple[str, ...] = ()
    verdicts: tuple[str, ...] = ()
    example: str = ""

    @property
    def meaning(self) -> str:
        """What it computes, in one line."""
        return say(f"compute.meaning.{self.name}")

    @property
    def source(self) -> str:
        """Where the formula and its constants come from."""
        return say(f"compute_sources.{self.origin}")


@dataclass(frozen=True)
class Computation:
    """A finished computation.

    Attributes:
        name: the computation's name.
        inputs: every input in the unit of its key, defaults included.
        results: the results in full precision.
        working: the working, rounded to what it is worth, the answer in its last line.
        source: where the formula comes from.
        notes: resolution, assumptions, and what to do with it.
        occasions: what acting on it is; the cautions told for that belong to it.
    """

    name: str
    inputs: Mapping[str, Value]
    results: Mapping[str, Value]
    working: tuple[str, ...]
    source: str
    notes: tuple[str, ...]
    occasions: tuple[str, ...]


def significant(value: float, figures: int) -> str:
    """Show a number to so many significant figures, without a power of ten unless it is minute."""
    if value == 0:
        return "0"
    digits = figures - 1 - math.floor(math.log10(abs(value)))
    if digits > _MOST_DIGITS:
        return figure(value, f".{figures - 1}e")
    rounded = round(value, digits)
    return figure(rounded, f".{digits}f") if digits > 0 else show_number(rounded, 0)

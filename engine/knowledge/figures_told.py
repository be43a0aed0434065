"""Figures in texts for people: numbers in digits or words, each with the unit behind it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from engine.foundation.plain_text import without_accents
from engine.foundation.texts import once_a_language, said_in, say_in
from engine.quantities.units import UNITS, canonical_unit, convert, is_unit


@dataclass(frozen=True)
class ToldFigure:
    """A number of a text, its unit (empty without one that is known), and where it stands there."""

    value: float
    unit: str
    start: int
    end: int


def figures_in(text: str, language: str) -> Iterator[ToldFigure]:
    """The figures of a text, with points or commas for decimals; number words count from three on.

    One and two are articles, `both` and `twice` in one language or another.
    """
    numbers, plain = _numbers(language), without_accents(text)
    # Most texts hold no figure, and a plain look for letters says so soonest.
    if not any(sign in plain for sign in (*"0123456789", *numbers)):
        return
    for match in _pattern(language).finditer(plain):
        number, unit = match["number"], match["unit"] or ""
        value = numbers[number] if number in numbers else float(number.replace(",", "."))
        yield ToldFigure(value, _spelled(language).get(unit, ""), match.start(), match.end())


def kilos_or_litres(value: float, unit: str) -> float | None:
    """An amount in kg where it is a mass and in L where it is a volume; None where it is neither."""
    kind = UNITS[unit].kind if unit in UNITS else ""
    into = {"mass": "kg", "volume": "L"}.get(kind)
    return convert(value, unit, into) if into is not None else None


@once_a_language
def _numbers(language: str) -> Mapping[str, float]:
    """Number words of a language, by their plain letters."""
    listed = without_accents(say_in(language, "step_talk.numbers")).split()
    return {word: float(value) for value, word in (each.split("=") for each in listed)}


@once_a_language
def _spelled(language: str) -> Mapping[str, str]:
    """Units by their signs and words in small letters without accents."""
    signs = {without_accents(unit): unit for unit in UNITS}
    words = {
        without_accents(word.strip()): canonical_unit(unit)
        for unit, listed in said_in(language, "units.spelled").items()
        if is_unit(unit)
        for word in listed.split(",")
    }
    return {**words, "mg/l": "ppm", "m3": "m³", **signs}


@once_a_language
def _pattern(language: str) -> re.Pattern[str]:
    # A bare `a` or `in` behind a number is a word of the sentence far oftener than a unit.
    units = sorted(_spelled(language).keys() - {"a", "in", "number", "share"}, key=len, reverse=True)
    words = sorted(_numbers(language), key=len, reverse=True)
    unit = "|".join(re.escape(each).replace(r"\ ", r"\s") for each in units)
    number = rf"\d+(?:[.,]\d+)?|(?:{'|'.join(words)})(?!\w)"
    return re.compile(rf"(?<![\w.,-])(?P<number>{number})(?:\s?(?P<unit>{unit})(?![\w/]))?")

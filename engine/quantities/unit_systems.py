"""Quantities as a reader wants them: metric units or US customary ones, and figures marked inside a text."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from typing import Literal

from engine.foundation.texts import say
from engine.quantities.quantity import figure, show_quantity, unit_key
from engine.quantities.units import KINDS, UNITS, convert, thousandfold

System = Literal["metric", "us"]
"""Metric units, or US customary ones; salt in ppm, volts, amperes, hours and per cent are the same in both."""

_US: Mapping[str, tuple[str, ...]] = {
    "°C": ("°F",),
    "kPa": ("psi",),
    "bar": ("psi",),
    "m³": ("US gal",),
    "imp gal": ("US gal",),
    "L": ("US gal", "US qt", "US fl oz"),
    "mL": ("US gal", "US qt", "US fl oz"),
    "kg": ("lb", "oz"),
    "g": ("lb", "oz"),
    "m": ("ft", "in"),
    "cm": ("ft", "in"),
    "mm": ("in",),
    "g/h": ("lb/day",),
    "g/L": ("oz/US gal",),
    "m³/h": ("US gal/min",),
}
_METRIC: Mapping[str, tuple[str, ...]] = {
    "°F": ("°C",),
    "psi": ("kPa",),
    "US gal": ("m³", "L"),
    "imp gal": ("m³", "L"),
    "US qt": ("L", "mL"),
    "US fl oz": ("L", "mL"),
    "lb": ("kg", "g"),
    "oz": ("kg", "g"),
    "ft": ("m", "cm"),
    "in": ("m", "cm", "mm"),
    "lb/day": ("g/h",),
    "oz/US gal": ("g/L",),
    "US gal/min": ("m³/h",),
}
"""The units that stand in for one of the other system, the largest first; one of at least 1 is taken."""
_WORTH_DIGITS = 3
"""Digits of a converted figure: no reading at a pool is better than a part in a thousand. Common practice."""
_MARKED = re.compile(r"\[([0-9][0-9.]*)(?: (\S+) ([0-9][0-9.]*))? ([^\]\[0-9]+)\]")
_BRACKETS = re.compile(r"\[([^\]]*)\]")


_in_use: list[System] = ["metric"]


def use_system(system: System) -> None:
    """From now on ask and show in these units, wherever none are named."""
    _in_use[:] = [system]


def system_in_use() -> System:
    """The units that are asked and shown in where none are named, metric until others are chosen."""
    return _in_use[0]


def unit_asked_in(unit: str) -> str:
    """The unit that a question for a number in `unit` is put in, and that a bare answer is in: of the system in use.

    Args: `unit`, a canonical name of `engine.quantities.units.UNITS`.
    """
    return _US.get(unit, (unit,))[0] if system_in_use() == "us" else unit


def in_system(value: float, unit: str, system: System) -> tuple[float, str]:
    """A quantity in a unit of the system, unrounded; as it is where the unit belongs to both.

    Args:
        value: a finite number in `unit`.
        unit: a canonical name of `engine.quantities.units.UNITS`.
        system: whose units.
    """
    choice = (_US if system == "us" else _METRIC).get(unit, (unit,))
    for wanted in choice:
        size = convert(value, unit, wanted)
        if abs(size) >= 1:
            return size, wanted
    return convert(value, unit, choice[-1] if value else choice[0]), choice[-1] if value else choice[0]


def round_to(value: float, digits: int, way: Literal["nearest", "down", "up"] = "nearest") -> float:
    """A number to so many digits; `down` and `up` never pass it to the other side.

    Args:
        value: 0 or more where a way is given.
        digits: 1 or more.
        way: to the nearest, or to one side.
    """
    if value == 0:
        return 0.0
    places = digits - 1 - math.floor(math.log10(abs(value)))
    nearest = round(value, places)
    # A value that is itself such a number, but for the last bits of a conversion, stays what it is.
    if way == "nearest" or math.isclose(nearest, value, rel_tol=1e-9):
        return nearest
    step = 10.0**-places
    whole = math.floor(value / step) if way == "down" else math.ceil(value / step)
    return round(whole * step, max(places, 0))


def show_in(value: float, unit: str, system: System | None = None) -> str:
    """Show a quantity in the units of a system: as it is, or converted and rounded to three digits."""
    size, wanted = in_system(value, unit, system or system_in_use())
    # Showing rounds to three digits by itself, but for digits before the point; rounding twice could go astray.
    rounds_itself = wanted == unit or abs(size) < 10.0 ** (_WORTH_DIGITS - 1)
    return show_quantity(size if rounds_itself else round_to(size, _WORTH_DIGITS), wanted)


def shown_in(text: str, system: System | None = None) -> str:
    """A text with the quantities marked in it, such as `[15 °C]` or `[20 to 25 °C]`, in a system's units.

    What stands in brackets and is no quantity with a known unit stays as it is.
    """
    units = system or system_in_use()
    return _MARKED.sub(lambda found: _range_shown(found, units), text) if "[" in text else text


def in_us_units_too(text: str) -> str:
    """A working with each quantity in US customary units and the metric one in brackets; as it is what both share.

    Args: `text`, in which each figure stands before its unit, with the decimal sign of the language in use.
    """
    sign = say("quantities.decimal_sign")
    units = "|".join(re.escape(unit) for unit in sorted(_US, key=len, reverse=True) if unit not in _METRIC)
    pattern = re.compile(rf"(?<![\w.,])([0-9]+(?:{re.escape(sign)}[0-9]+)?) ({units})(?![\w/³²])")
    return pattern.sub(
        lambda found: f"{show_in(float(found[1].replace(sign, '.')), found[2], 'us')} ({found[0]})", text
    )


def is_typed_in_us_units(typed: str, unit: str) -> bool:
    """Whether a quantity was typed in a unit that is customary in the US and not metric, such as `68F` or `40 lb`.

    Args:
        typed: as somebody typed it; what is no quantity is in no such unit.
        unit: the unit of its question, a canonical name of `engine.quantities.units.UNITS`.
    """
    kind = KINDS[UNITS[unit].kind]
    sizes = {UNITS[name].factor for name in _METRIC if name not in _US and UNITS[name].kind == kind.name}
    sizes |= {thousandfold(size) for size in sizes if size[0].isdigit()}
    return any(kind.spellings.get(unit_key(part)) in sizes for part in re.split(r"[0-9.,]+", typed))


def marked_units(text: str) -> Iterator[tuple[str, bool]]:
    """What a text holds in brackets beginning with a figure, each with whether it is a quantity for `shown_in`.

    Brackets without a leading figure are plain text.
    """
    for found in _BRACKETS.finditer(text):
        if found[1][:1].isdigit():
            marked = _MARKED.fullmatch(found[0])
            yield found[1], marked is not None and _are_figures(marked) and marked[4] in UNITS


def _are_figures(found: re.Match[str]) -> bool:
    return all(part is None or re.fullmatch(r"[0-9]+(?:\.[0-9]+)?", part) for part in (found[1], found[3]))


def _range_shown(found: re.Match[str], system: System) -> str:
    """One quantity, or a range whose both ends stand in the unit of the upper one."""
    first, between, last, unit = found.groups()
    if unit not in UNITS or not _are_figures(found):
        return found[0]
    if last is None:
        return show_in(float(first), unit, system)
    _, wanted = in_system(float(last), unit, system)
    if wanted == unit:
        return f"{figure(float(first))} {between} {figure(float(last))} {unit}"
    low, high = (round_to(convert(float(end), unit, wanted), _WORTH_DIGITS) for end in (first, last))
    return f"{figure(low)} {between} {show_quantity(high, wanted)}"

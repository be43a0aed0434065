"""Reading typed text into a quantity, and showing a quantity with its unit."""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal

from engine.foundation.texts import say
from engine.quantities.units import (
    ASK_WHICH,
    CASE_TRAPS,
    KINDS,
    UNITS,
    Kind,
    canonical_unit,
    convert,
    customary,
    from_base,
    thousandfold,
    to_base,
)
from engine.quantities.wire_gauge import gauge_area_mm2


class QuantityError(ValueError):
    """Typed text that cannot be taken as the quantity asked for.

    Attributes:
        wrong: what is wrong with the text.
        instead: what to write instead.
    """

    def __init__(self, wrong: str, instead: str) -> None:
        super().__init__(wrong, instead)
        self.wrong = wrong
        self.instead = instead

    def __str__(self) -> str:
        return f"{self.wrong}; {self.instead}"


@dataclass(frozen=True)
class Reading:
    """A typed value in the unit of its question.

    Attributes:
        value: the number, in `unit`.
        unit: the canonical name of the question's unit.
        typed: the text it was read from, trimmed.
    """

    value: float
    unit: str
    typed: str


# The body holds digits and separators; what the separators mean is settled afterwards.
_TYPED = re.compile(
    r"(?P<sign>[+-]?)\s*(?P<body>[.,]?[0-9]+(?:[.,' ][0-9]+)*)"
    r"(?:[eE](?P<exponent>[+-]?[0-9]{1,6})(?![0-9A-Za-z]))?(?P<unit>.*)"
)
_DECIMAL = re.compile(r"[0-9]*[.,]?[0-9]+")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?P<mark>[ '.,])[0-9]{3}(?:(?P=mark)[0-9]{3})*(?:(?!(?P=mark))[.,][0-9]+)?")
_COMPOUND = re.compile(r"(?P<first>[0-9.,]+ ?[A-Za-z']+?) ?(?P<second>[0-9][0-9.,]* ?[^0-9]+)")
_COMPOUND_KINDS = frozenset({"length", "mass", "time"})
_SMALLEST, _LARGEST = Decimal("1e-9"), Decimal("1e12")
_BARE = frozenset({"number", "share", "SP"})
_NO_THOUSANDS = frozenset({"temperature", "share", "acidity", "number", "salinity"})
"""Where a `k` behind a number is not a thousand: it is kelvin, or nobody counts so many."""
_PLURALS = frozenset({"days", "months", "years"})


def _plain(typed: str) -> str:
    """Bring typed text to plain characters: one kind of space, minus, apostrophe and digit."""
    text = unicodedata.normalize("NFKC", typed)
    return re.sub(r"\s", " ", text.translate({0x2212: "-", 0x2019: "'", 0x2032: "'"})).strip()


def _has_stray_figure(typed: str) -> bool:
    """Say whether a raised figure or a fraction stands elsewhere than after a unit's letter."""
    pairs = zip(" " + typed, typed, strict=False)
    return any(unicodedata.category(char) == "No" and not before.isalpha() for before, char in pairs)


def _quoted(typed: str) -> str:
    """Show typed text safely on one line."""
    shown = "".join(char if char.isprintable() else "?" for char in typed.strip())
    return shown if len(shown) <= 40 else shown[:37] + "..."


def _scaled(number: Decimal, exponent: int) -> Decimal:
    """Apply a power of ten; beyond any quantity the exact size no longer matters."""
    return number.scaleb(max(min(exponent, 99), -99))


def unit_key(typed: str) -> str:
    """Bring a typed unit into the form of the spelling tables."""
    text = re.sub(r"\s+(?:per|an?)\s+", "/", typed.strip(" ,;:")).lower()
    return re.sub(r"[\s.()^]+", "", text)


def _number_readings(body: str) -> list[Decimal]:
    """Give each way to read the digits: none, one, or two where a separator is ambiguous."""
    readings = []
    if _DECIMAL.fullmatch(body):
        readings.append(Decimal(body.replace(",", ".")))
    grouped = _GROUPED.fullmatch(body)
    if grouped:
        whole = body.replace(grouped["mark"], "")
        readings.append(Decimal(whole.replace(",", ".")))
    return readings


def _size_of(typed_unit: str, unit: str, about: str, us: bool) -> str:
    """Find the size of a typed unit in the kind that the question's unit belongs to."""
    kind = KINDS[UNITS[unit].kind]
    key = unit_key(typed_unit)
    if us and unit_key(customary(key)) in kind.spellings:
        key = unit_key(customary(key))
    if not key:
        return UNITS[unit].factor
    if key == "k" and kind.name not in _NO_THOUSANDS:
        return thousandfold(UNITS[unit].factor)
    if key in kind.spellings and typed_unit.strip() not in CASE_TRAPS:
        return kind.spellings[key]
    wanted = about or kind.noun
    if key in ASK_WHICH and any(unit_key(name) in kind.spellings for name in ASK_WHICH[key][:2]):
        first, second, noun = ASK_WHICH[key]
        raise QuantityError(
            say(f"quantities.two_kinds.{noun}"), say("quantities.instead.either", first=first, second=second)
        )
    for other in KINDS.values():
        if key in other.spellings and typed_unit.strip() not in CASE_TRAPS:
            raise QuantityError(
                say("quantities.wrong.measures", typed=_quoted(typed_unit), other=other.noun, wanted=wanted),
                say("quantities.instead.in", units=kind.advice),
            )
    if any(char.isdigit() for char in key):
        raise QuantityError(
            say("quantities.wrong.more", typed=_quoted(typed_unit)), say("quantities.instead.one", units=kind.advice)
        )
    raise QuantityError(
        say("quantities.wrong.no_unit", typed=_quoted(typed_unit), wanted=wanted),
        say("quantities.instead.in", units=kind.advice),
    )


def _within(value: Decimal, unit: str, possible: tuple[float, float] | None) -> bool:
    low, high = possible or UNITS[unit].span
    return low <= value <= high


def _settle(values: list[Decimal], unit: str, typed: str, possible: tuple[float, float] | None) -> Decimal:
    """Choose the one possible reading, or ask back naming both."""
    if len(values) == 1:
        return values[0]
    sound = [value for value in values if _within(value, unit, possible)]
    if len(sound) == 1:
        return sound[0]
    first, second = (show_quantity(float(value), unit) for value in values)
    raise QuantityError(
        say("quantities.wrong.two_ways", typed=_quoted(typed), first=first, second=second),
        say("quantities.instead.plainly"),
    )


def _check_bounds(value: Decimal, kind: Kind, base: Decimal, typed: str) -> None:
    """Refuse what no measurement can give."""
    shown, wrong = _quoted(typed), ""
    low, high = kind.lowest, kind.highest
    if abs(value) > _LARGEST or 0 < abs(value) < _SMALLEST:
        wrong = say("quantities.wrong.too_large" if abs(value) > 1 else "quantities.wrong.too_small", typed=shown)
    elif low is not None and base < Decimal(low):
        wrong = say("quantities.wrong.too_cold" if low != "0" else "quantities.wrong.negative", typed=shown)
    elif high is not None and base > Decimal(high):
        wrong = say("quantities.wrong.over", typed=shown, limit=high)
    if wrong:
        raise QuantityError(wrong, say("quantities.instead.in", units=kind.advice))


def _one_value(text: str, plain: str, unit: str, about: str, possible: tuple[float, float] | None, us: bool) -> Decimal:
    """Read one number with at most one unit; see `read_quantity`."""
    kind = KINDS[UNITS[unit].kind]
    if kind.name == "acidity":
        plain = re.sub(r"^[pP][hH]\s*[:=]?\s*", "", plain)
    if not plain:
        raise QuantityError(say("quantities.wrong.nothing"), say("quantities.instead.number", units=kind.advice))
    found = _TYPED.fullmatch(plain)
    if found is None or _has_stray_figure(text):
        wrong = say("quantities.wrong.no_quantity", typed=_quoted(text))
        raise QuantityError(wrong, say("quantities.instead.number", units=kind.advice))
    readings = _number_readings(found["body"])
    if not readings:
        wrong = say("quantities.wrong.no_number", typed=_quoted(found["body"]))
        raise QuantityError(wrong, say("quantities.instead.digits"))
    if found["exponent"]:
        readings = [_scaled(readings[0], int(found["exponent"]))]
    sign = -1 if found["sign"] == "-" else 1
    size = _size_of(found["unit"], unit, about, us)
    bases = [to_base(sign * reading + 0, size) for reading in readings]
    values = [from_base(base, UNITS[unit].factor) for base in bases]
    value = _settle(values, unit, text, possible)
    _check_bounds(value, kind, bases[values.index(value)], text)
    return value


def read_quantity(
    text: str,
    unit: str,
    about: str = "",
    possible: tuple[float, float] | None = None,
    us: bool = False,
) -> Reading:
    """Read typed text as a quantity in the unit of its question.

    A bare number is in `unit`. Decimal point and decimal comma are both read; groups of three
    after spaces or apostrophes are thousands, and so is a `k` behind the number (`15k`, `15kgal`).
    One dot or comma before exactly three digits is ambiguous unless only one of the two readings is
    possible. A cross-section may be an American wire gauge (`10 awg`).

    Args:
        text: what was typed, for example `3.2 g/L`, `68 F`, `pH 7,4`, `3 200`, `5 ft 6 in`.
        unit: the unit of the question, one of `UNIT_NAMES` or an alias.
        about: what is asked for, in the words of the question (`salt`), for the errors.
        possible: lowest and highest value that can be meant, in `unit`; it settles separators
            and refuses nothing. By default what the trade meets in that unit.
        us: whether gallons, quarts and degrees of which nobody says whose are those customary in the US.

    Returns:
        The reading, converted into `unit`.

    Raises:
        QuantityError: the text is no such quantity; its text says what to write instead.
        ValueError: `unit` is unknown.
    """
    unit = canonical_unit(unit)
    plain = _plain(text)
    pair = _COMPOUND.fullmatch(plain)
    if pair and UNITS[unit].kind in _COMPOUND_KINDS:
        parts = [read_quantity(part, unit, about, possible, us).value for part in pair.groups()]
        return Reading(sum(parts), unit, text.strip())
    if UNITS[unit].kind == "area" and (area := gauge_area_mm2(plain)) is not None:
        return Reading(convert(area, "mm²", unit), unit, text.strip())
    return Reading(float(_one_value(text, plain, unit, about, possible, us)), unit, text.strip())


def figure(value: float, form: str = "g") -> str:
    """A number as people read it, with the decimal sign of the language in use.

    Every figure in a sentence passes here; what programs read, YAML and JSON, keeps the point.

    Args:
        value: any number.
        form: how Python is to format it, such as `.1f`.
    """
    return f"{value:{form}}".replace(".", say("quantities.decimal_sign"))


def show_number(value: float, decimals: int) -> str:
    """Show a finite number to three significant digits, at most `decimals` after the decimal sign.

    Digits before the point are never rounded away, and a number too small for `decimals` keeps
    two significant digits, so that nothing but zero is shown as zero.

    Raises:
        ValueError: the number is not finite.
    """
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot be shown as a quantity; give a finite number")
    if value == 0:
        return "0"
    magnitude = math.floor(math.log10(abs(value)))
    places = min(max(2 - magnitude, 0), decimals)
    if round(value, places) == 0:
        places = 1 - magnitude
    if magnitude < -9:
        return figure(value, ".1e")
    shown = figure(value, f".{places}f")
    return shown.rstrip("0").rstrip(say("quantities.decimal_sign")) if places > 0 else shown


def show_quantity(value: float, unit: str) -> str:
    """Show a value with its unit, rounded to what a reading in that unit is worth.

    Args:
        value: a finite number in `unit`.
        unit: one of `UNIT_NAMES` or an alias.

    Returns:
        For example `3450 ppm`, `25.5 °C`, `7.5 V`, `pH 7.4`.

    Raises:
        ValueError: an unknown unit or a number that is not finite.
    """
    unit = canonical_unit(unit)
    shown = show_number(value, UNITS[unit].decimals)
    if unit == "pH":
        return f"pH {shown}"
    return shown if unit in _BARE else f"{shown} {unit_shown(unit, one=shown == '1')}"


def unit_shown(unit: str, one: bool = False) -> str:
    """A unit as it is shown: its sign, or for a span of time a word, of `one` or of many."""
    if unit not in _PLURALS:
        return unit
    return say(f"units.one.{unit}") if one else say(f"units.many.{unit}")

"""Typed quantities: what people type is read right, or refused with what to write instead."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.text_catalog import use_language
from engine.quantities.quantity import QuantityError, Reading, read_quantity, show_number, show_quantity
from engine.quantities.units import UNIT_NAMES, canonical_unit, convert, is_unit

# Sizes from outside: NIST SP 811 (2008), appendix B.8, conversion factors (from memory): gallon,
# foot, inch, pound, psi, conventional metre of water; the temperature scales by definition.
READ = [
    ("3200", "ppm", 3200),
    ("3200ppm", "ppm", 3200),
    ("3.2 g/L", "ppm", 3200),
    ("3,2 g/l", "ppm", 3200),
    ("3.2 kg/m3", "ppm", 3200),
    ("3.2 kg/m³", "ppm", 3200),
    ("0.32 %", "ppm", 3200),
    ("3200 mg/l", "ppm", 3200),
    ("3 200", "ppm", 3200),
    ("3\u2009200", "ppm", 3200),
    ("3\u202f200 mg/L", "ppm", 3200),
    ("3\u00a0200", "ppm", 3200),
    ("3'200", "ppm", 3200),
    ("3\u2019200 ppm", "ppm", 3200),
    ("3.2e3", "ppm", 3200),
    ("1,234.5", "ppm", 1234.5),
    ("1.234,5", "ppm", 1234.5),
    ("1 234,567", "ppm", 1234.567),
    ("1,234,567 L", "L", 1234567),
    ("0.250", "ppm", 0.25),
    ("1234,567", "ppm", 1234.567),
    (".5", "ppm", 0.5),
    ("3,2", "ppm", 3.2),
    ("68 F", "°C", 20),
    ("68°F", "degC", 20),
    ("-40 °F", "°C", -40),
    ("20 º C", "°C", 20),
    ("℃".join(["20", ""]), "°C", 20),
    ("293.15 K", "°C", 20),
    ("\u22125", "°C", -5),
    ("12 psi", "kPa", 82.7371),
    ("1 bar", "kPa", 100),
    ("250 mbar", "kPa", 25),
    ("2 mH2O", "kPa", 19.6133),
    ("-5 kPa", "kPa", -5),
    ("20000usgal", "m³", 75.70824),
    ("20kusgal", "m³", 75.70824),
    ("10 k imp gal", "m³", 45.4609),
    ("15k", "m³", 15000),
    ("3.2k", "ppm", 3200),
    ("300 k", "°C", 26.85),
    ("6500 uS", "mS/cm", 6.5),
    ("6500 µS", "mS/cm", 6.5),
    ("6.5 mS", "mS/cm", 6.5),
    ("20 000 US gallons", "m3", 75.70824),
    ("20000 U.S. gal", "m³", 75.70824),
    ("10000 imperial gallons", "m³", 45.4609),
    ("10000 uk gal", "m³", 45.4609),
    ("45 kL", "m³", 45),
    ("45 kilolitres", "m³", 45),
    ("50000 litres", "m³", 50),
    ("50 000 liters", "m³", 50),
    ("50 cubic metres", "m³", 50),
    ("19000 mA", "A", 19),
    ("7500 mV", "V", 7.5),
    ("0.23 kV", "V", 230),
    ("480 min", "h", 8),
    ("8 h a day", "h", 8),
    ("8 hours per day", "h", 8),
    ("8 h 30 min", "h", 8.5),
    ("1 kg/d", "g/h", 41.6667),
    ("1 lb/day", "g/h", 18.89968),
    ("2 years", "months", 24),
    ("18 months", "years", 1.5),
    ("6 weeks", "months", 1.379877),
    ("40 %", "%", 40),
    ("80 %", "share", 0.8),
    ("6500 µS/cm", "mS/cm", 6.5),
    ("6500 μS/cm", "mS/cm", 6.5),
    ("6500 uS/cm", "mS/cm", 6.5),
    ("0.65 S/m", "mS/cm", 6.5),
    ("pH 7.4", "pH", 7.4),
    ("7,4 pH", "pH", 7.4),
    ("10 ft", "m", 3.048),
    ("5'", "m", 1.524),
    ("5 ft 6 in", "m", 1.6764),
    ("5' 6\"", "m", 1.6764),
    ("150 cm", "m", 1.5),
    ("40 lb", "kg", 18.143695),
    ("500 g", "kg", 0.5),
    ("2.5 mm²", "mm2", 2.5),
    ("1.16 kg/L", "g/mL", 1.16),
    ("2.5 mg/L/day", "ppm/day", 2.5),
    ("2.5 ppm per day", "ppm/day", 2.5),
    ("100 L/min", "m³/h", 6),
    ("3200 ppm", "SP", 3.2),
]


@pytest.mark.parametrize(("typed", "unit", "value"), READ)
def test_what_people_type_is_read(typed: str, unit: str, value: float) -> None:
    reading = read_quantity(typed, unit)
    assert reading.value == pytest.approx(value, rel=2e-6)
    assert reading == Reading(reading.value, canonical_unit(unit), typed.strip())


# One decimal separator before exactly three digits: both readings must be named.
@pytest.mark.parametrize("typed", ["1,200", "1.200", "1,200 ppm", "45.000", "999,999 mg/l"])
def test_a_separator_that_may_be_either_is_asked_back_with_both_readings(typed: str) -> None:
    digits = typed.split(" ", maxsplit=1)[0].replace(",", ".")
    decimal, thousands = float(digits), float(digits.replace(".", ""))
    possible = (0, 1e6)
    with pytest.raises(QuantityError) as caught:
        read_quantity(typed, "ppm", possible=possible)
    assert show_quantity(decimal, "ppm") in str(caught.value)
    assert show_quantity(thousands, "ppm") in str(caught.value)


@pytest.mark.parametrize(
    ("typed", "unit", "possible", "value"),
    [
        ("1,200", "ppm", (0, 50), 1.2),  # 1200 mg/L of free chlorine cannot be meant
        ("1,200", "ppm", (100, 12000), 1200),
        ("7.500", "pH", None, 7.5),
        ("1.160", "g/mL", None, 1.16),
        ("75.708", "m³", None, 75.708),
        ("5,646", "mS/cm", (0, 100), 5.646),
        ("1,200 g/L", "ppm", None, 1200),
    ],
)
def test_a_separator_is_settled_where_only_one_reading_is_possible(
    typed: str, unit: str, possible: tuple[float, float] | None, value: float
) -> None:
    assert read_quantity(typed, unit, possible=possible).value == pytest.approx(value)


REFUSED = [
    ("3.2 bar", "ppm", "bar measures pressure, but the question asks for salt; write it in ppm, mg/L, g/L or %"),
    (
        "3200 ppm",
        "°C",
        "ppm measures a concentration in water, but the question asks for salt; write it in °C, °F or K",
    ),
    ("20000 gal", "m³", "there are two kinds of gallon; write usgal or impgal"),
    ("20000 gallons", "m³", "there are two kinds of gallon; write usgal or impgal"),
    ("25°", "°C", "there are two kinds of degree; write °C or °F"),
    ("", "ppm", "nothing was typed; write a number in ppm, mg/L, g/L or %"),
    ("   ", "ppm", "nothing was typed; write a number in ppm, mg/L, g/L or %"),
    ("pH", "pH", "nothing was typed; write a number in pH, from 0 to 14"),
    ("plenty", "ppm", "plenty is not a number with a unit; write a number in ppm, mg/L, g/L or %"),
    ("nan", "V", "nan is not a number with a unit; write a number in V, mV or kV"),
    ("inf", "V", "inf is not a number with a unit; write a number in V, mV or kV"),
    ("-inf V", "V", "-inf V is not a number with a unit; write a number in V, mV or kV"),
    ("1e999", "V", "1e999 is far too large; write it in V, mV or kV"),
    ("1e-999", "V", "1e-999 is far too small; write it in V, mV or kV"),
    ("-500 C", "°C", "-500 C is below absolute zero; write it in °C, °F or K"),
    ("-3", "ppm", "-3 is below zero; write it in ppm, mg/L, g/L or %"),
    ("15", "pH", "15 is above 14; write it in pH, from 0 to 14"),
    ("3 20", "ppm", "3 20 is not a single number; write the digits without spaces or separators"),
    ("12,34,567", "ppm", "12,34,567 is not a single number; write the digits without spaces or separators"),
    ("1,5.2", "ppm", "1,5.2 is not a single number; write the digits without spaces or separators"),
    ("3²", "ppm", "3² is not a number with a unit; write a number in ppm, mg/L, g/L or %"),
    ("2½", "ppm", "2½ is not a number with a unit; write a number in ppm, mg/L, g/L or %"),
    ("10 x 5", "m", "x 5 is more than just a unit; write one number and one unit (m, cm, ft or in)"),
    (
        "9**9**9 bar",
        "kPa",
        "**9**9 bar is more than just a unit; write one number and one unit (kPa, bar, mbar, psi or mH2O)",
    ),
    ("5 furlong", "m", "furlong is not a unit for salt; write it in m, cm, ft or in"),
    ("3 MA", "A", "MA is not a unit for salt; write it in A or mA"),
    ("a\nb\x1b", "pH", "a?b? is not a number with a unit; write a number in pH, from 0 to 14"),
]


@pytest.mark.parametrize(("typed", "unit", "sentence"), REFUSED)
def test_what_cannot_be_meant_is_refused_in_one_line(typed: str, unit: str, sentence: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read_quantity(typed, unit, about="salt")
    assert str(caught.value) == sentence


def _is_read_or_refused_in_one_line(typed: str, unit: str) -> bool:
    try:
        return math.isfinite(read_quantity(typed, unit).value)
    except QuantityError as error:
        return len(str(error).splitlines()) == 1 and bool(error.wrong and error.instead)


@given(st.text(max_size=60), st.sampled_from(UNIT_NAMES))
def test_any_text_is_a_finite_reading_or_one_clear_line(typed: str, unit: str) -> None:
    assert _is_read_or_refused_in_one_line(typed, unit)


@given(st.text(alphabet="0123456789.,' -+eE%gLpm", max_size=14), st.sampled_from(UNIT_NAMES))
def test_number_like_text_never_breaks_the_reader(typed: str, unit: str) -> None:
    assert _is_read_or_refused_in_one_line(typed, unit)


@given(st.integers(1000, 399_999), st.sampled_from([" ", "\u2009", "\u202f", "'", "\u2019"]))
def test_spaces_and_apostrophes_before_three_digits_are_thousands(number: int, separator: str) -> None:
    typed = f"{number:,}".replace(",", separator)
    assert read_quantity(typed, "ppm").value == number


@given(st.integers(0, 10**8), st.sampled_from([1, 2, 4, 5]))
def test_a_decimal_comma_means_what_a_decimal_point_means(number: int, places: int) -> None:
    typed = f"{number / 10**places:.{places}f}"
    value = read_quantity(typed, "number").value
    assert read_quantity(typed.replace(".", ","), "number").value == value
    assert value == float(typed)


PAIRS = [
    ("°C", "°F"),
    ("kPa", "psi"),
    ("kPa", "bar"),
    ("m³", "US gal"),
    ("m³", "imp gal"),
    ("m³", "L"),
    ("h", "min"),
    ("months", "years"),
    ("months", "days"),
    ("kg", "lb"),
    ("m", "ft"),
    ("ppm", "g/L"),
    ("A", "mA"),
    ("%", "share"),
]


@given(st.floats(0.001, 1e6), st.sampled_from(PAIRS))
def test_units_round_trip(value: float, pair: tuple[str, str]) -> None:
    one, other = pair
    assert convert(convert(value, one, other), other, one) == pytest.approx(value, rel=1e-12)


def test_a_pound_a_foot_and_the_gallons_have_their_legal_sizes() -> None:
    # International yard and pound agreement of 1959; the gallons by their national definitions
    # (231 cubic inches; 4.54609 L): from memory.
    assert convert(1, "lb", "kg") == 0.45359237
    assert convert(1, "ft", "m") == 0.3048
    assert convert(1, "US gal", "m³") == pytest.approx(231 * 0.0254**3, rel=1e-12)
    assert convert(1, "imp gal", "L") == pytest.approx(4.54609, rel=1e-12)
    assert convert(212, "°F", "°C") == 100


def test_units_of_different_things_do_not_convert() -> None:
    with pytest.raises(ValueError, match="bar measures pressure, V measures voltage"):
        convert(1, "bar", "V")


def test_the_units_of_the_checks_are_known_by_both_spellings() -> None:
    for name in ("ppm", "°C", "kPa", "h", "%", "m³", "g/h", "months", "years", "V", "A", "pH"):
        assert canonical_unit(name) == name
        assert name in UNIT_NAMES
    assert canonical_unit("m3") == "m³"
    assert canonical_unit("degC") == "°C"
    assert not is_unit("furlong")
    with pytest.raises(ValueError, match="furlong is not a unit known here; use one of ppm"):
        read_quantity("1", "furlong")


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (3450.4, "ppm", "3450 ppm"),
        (0.6, "ppm", "0.6 ppm"),
        (25.52, "°C", "25.5 °C"),
        (7.5, "V", "7.5 V"),
        (-4.96, "kPa", "-5 kPa"),
        (40, "%", "40 %"),
        (7.4, "pH", "pH 7.4"),
        (75.708, "m³", "75.7 m³"),
        (123456.7, "L", "123457 L"),
        (0, "ppm", "0 ppm"),
        (0.00123, "A", "0.0012 A"),
        (19, "A", "19 A"),
        (100, "kg", "100 kg"),
        (3.2, "SP", "3.2"),
        (1e-30, "ppm", "1.0e-30 ppm"),
        (-0.0, "°C", "0 °C"),
    ],
)
def test_quantities_show_what_their_readings_are_worth(value: float, unit: str, shown: str) -> None:
    assert show_quantity(value, unit) == shown


@given(st.floats(1e-6, 1e9), st.sampled_from(UNIT_NAMES))
def test_what_is_shown_is_close_and_never_zero(value: float, unit: str) -> None:
    number = float(show_number(value, 2))
    assert number == pytest.approx(value, rel=0.055, abs=0.0051)
    assert number > 0
    assert show_quantity(value, unit)


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_only_finite_numbers_are_shown(value: float) -> None:
    with pytest.raises(ValueError, match="give a finite number"):
        show_quantity(value, "ppm")


@given(
    st.floats(1e-6, 1e6),
    st.sampled_from([unit for unit in UNIT_NAMES if unit not in ("days", "months", "years", "pH")]),
)
def test_a_figure_takes_the_decimal_sign_of_the_language_and_is_read_back_as_it_was(value: float, unit: str) -> None:
    english = show_quantity(value, unit)
    use_language("es")
    try:
        spanish = show_quantity(value, unit)
    finally:
        use_language("en")
    assert spanish == re.sub(r"(?<=[0-9])\.(?=[0-9])", ",", english)
    if "e-" not in english:
        assert read_quantity(spanish, unit).value == read_quantity(english, unit).value

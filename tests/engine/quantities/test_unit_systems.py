"""Figures in a reader's units: exact factors from outside, rounding to one side, and marked figures in texts."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from engine.quantities.quantity import read_quantity
from engine.quantities.unit_systems import in_system, marked_units, round_to, show_in, shown_in
from engine.quantities.units import SHOWN_ONLY, UNIT_NAMES, UNITS, convert

METRIC = {"°C", "kPa", "bar", "m³", "L", "mL", "kg", "g", "m", "cm", "mm", "g/h", "g/L", "m³/h"}
US = {"°F", "psi", "US gal", "US qt", "US fl oz", "lb", "oz", "ft", "in", "lb/day", "oz/US gal", "US gal/min"}
GALLON_L = constants.gallon * 1000

# SciPy's constants are the exact definitions of the international yard and pound and of the US gallon of 231 cubic
# inches; a quart is a fourth, a fluid ounce a 128th of a gallon, an ounce a sixteenth of a pound (NIST Handbook 44,
# Appendix C, from memory).
FACTORS = [
    (1.0, "US gal", "m³", constants.gallon),
    (1.0, "US qt", "L", GALLON_L / 4),
    (1.0, "US fl oz", "mL", constants.fluid_ounce * 1e6),
    (128.0, "US fl oz", "US gal", 1.0),
    (1.0, "lb", "kg", constants.pound),
    (1.0, "oz", "kg", constants.oz),
    (1.0, "in", "m", constants.inch),
    (1.0, "ft", "m", constants.foot),
    (100.0, "cm", "m", 1.0),
    (1.0, "psi", "kPa", constants.psi / 1000),
    (1.0, "lb/day", "g/h", constants.pound * 1000 / 24),
    (1.0, "oz/US gal", "g/L", constants.oz * 1000 / GALLON_L),
    (1.0, "US gal/min", "m³/h", constants.gallon * 60),
    (0.0, "°C", "°F", constants.convert_temperature(0.0, "Celsius", "Fahrenheit")),
    (25.0, "°C", "°F", constants.convert_temperature(25.0, "Celsius", "Fahrenheit")),
]


@pytest.mark.parametrize(("value", "unit", "into", "expected"), FACTORS)
def test_a_unit_has_its_published_size(value: float, unit: str, into: str, expected: float) -> None:
    assert convert(value, unit, into) == pytest.approx(expected, rel=1e-9)


@given(st.floats(1e-3, 1e5), st.sampled_from(sorted(METRIC | US)))
def test_a_figure_stands_in_the_readers_system_and_means_the_same(value: float, unit: str) -> None:
    for system, own, other in (("metric", METRIC, US), ("us", US, METRIC)):
        size, wanted = in_system(value, unit, "us" if system == "us" else "metric")
        assert wanted in own
        assert wanted not in other
        assert convert(size, wanted, unit) == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(st.floats(1e-3, 1e5), st.sampled_from(sorted(set(UNITS) - METRIC - US - {"imp gal"})))
def test_what_belongs_to_both_systems_stays_as_it_is(value: float, unit: str) -> None:
    assert in_system(value, unit, "us") == in_system(value, unit, "metric") == (value, unit)


@given(st.floats(1e-3, 1e6), st.integers(1, 4))
def test_rounding_to_one_side_never_passes_the_value_and_loses_less_than_one_digit(value: float, digits: int) -> None:
    down, up = round_to(value, digits, "down"), round_to(value, digits, "up")
    slack = value * 1e-8
    assert down <= value + slack
    assert up >= value - slack
    step = 10.0 ** (math.floor(math.log10(value)) + 1 - digits)
    assert up - down <= step * (1 + 1e-6) + slack
    assert down - slack <= round_to(value, digits) <= up + slack


@given(st.floats(0.01, 1e5), st.sampled_from(["m³", "L", "kg", "g", "kPa", "m", "g/h"]))
def test_a_shown_figure_reads_back_within_its_rounding(value: float, unit: str) -> None:
    shown = show_in(value, unit, "us")
    number, own = shown.split(" ", 1)
    assert own in US
    back = convert(read_quantity(shown, own).value, own, unit)
    # Three digits, or what a reading in that unit is worth where it is small.
    assert back == pytest.approx(value, rel=0.006, abs=convert(10.0 ** -UNITS[own].decimals, own, unit) * 0.51)
    assert re.fullmatch(r"[0-9.]+", number)


def test_a_marked_figure_is_shown_in_the_readers_units() -> None:
    """77 °F is 25 °C by the scale itself; 30 kPa are 4.35 psi by the pound-force of SciPy's constants."""
    assert shown_in("at [20 to 25 °C], [30 kPa]", "metric") == "at 20 to 25 °C, 30 kPa"
    assert shown_in("at [20 to 25 °C]", "us") == "at 68 to 77 °F"
    assert float(shown_in("[30 kPa]", "us").removesuffix(" psi")) == pytest.approx(30_000 / constants.psi, abs=0.06)
    assert shown_in("ein [20 bis 25 °C]", "us") == "ein 68 bis 77 °F"


@given(st.text(max_size=40))
def test_a_text_without_marks_is_left_alone(text: str) -> None:
    if not any(ok for _, ok in marked_units(text)):
        assert shown_in(text, "us") == text


def test_brackets_with_a_figure_and_no_unit_are_told_apart() -> None:
    assert list(marked_units("[15 °C] [15 degrees] [1.2.3 L] [see the plate]")) == [
        ("15 °C", True),
        ("15 degrees", False),
        ("1.2.3 L", False),
    ]


def test_no_question_stands_in_a_unit_that_is_only_shown() -> None:
    assert SHOWN_ONLY
    assert not SHOWN_ONLY & set(UNIT_NAMES)

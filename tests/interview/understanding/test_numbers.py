"""Typed numbers, as replies to a question that wants one."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from interview.messages import Given, Measure
from interview.understanding.replies import read
from interview.understanding.results import Refusal
from tests.interview.people import SALT


# Conversions by definition: 1 ppm is taken as 1 mg/L; 68 degF is 20 degC; 1 psi is 6.894757 kPa (international units).
@pytest.mark.parametrize(
    ("typed", "unit", "possible", "value"),
    [
        ("3200", "ppm", (0.0, 40000.0), 3200.0),
        ("3.2 g/L", "ppm", (0.0, 40000.0), 3200.0),
        ("3,2 g/l", "ppm", (0.0, 40000.0), 3200.0),
        ("68 F", "°C", (-2.0, 50.0), 20.0),
        ("12 psi", "kPa", (-100.0, 400.0), 82.737),
        ("0", "ppm", (0.0, 40000.0), 0.0),
        ("pH 7,4", "pH", (0.0, 14.0), 7.4),
    ],
)
def test_measurements_are_read_in_the_units_people_use(
    typed: str, unit: str, possible: tuple[float, float], value: float
) -> None:
    question = replace(SALT, measure=Measure(unit, "it", possible, possible))
    meant = read(typed, question)
    assert isinstance(meant, Given)
    assert meant.value == pytest.approx(value, rel=1e-4)


def test_a_separator_that_can_be_read_two_ways_is_asked_back() -> None:
    wide = replace(SALT, measure=Measure("ppm", "free chlorine", (0.0, 40000.0), (0.0, 40000.0)))
    meant = read("1,200", wide)
    assert isinstance(meant, Refusal)
    assert "1.2 ppm" in meant.message
    assert "1200 ppm" in meant.message


@pytest.mark.parametrize("typed", ["three", "3 bar", "-5", "12 12", "nan", "inf", "1e999", "0x10", "٣٢٠٠ bar"])
def test_what_is_no_such_measurement_is_refused(typed: str) -> None:
    meant = read(typed, SALT)
    assert isinstance(meant, Refusal)
    assert not meant.keep


def test_what_cannot_be_is_refused_again_and_again() -> None:
    meant = read("50000", SALT)
    assert isinstance(meant, Refusal)
    assert not meant.keep
    assert isinstance(read("50000", SALT, doubted="50000"), Refusal)


def test_what_is_hardly_meant_is_asked_back_once_with_the_unit_it_may_be_in() -> None:
    first = read("12", SALT)
    assert isinstance(first, Refusal)
    assert first.keep == "12"
    assert "12 g/L" in first.message
    assert read("12", SALT, doubted=first.keep) == Given(12.0, "12")
    assert isinstance(read("13", SALT, doubted=first.keep), Refusal)


def test_a_temperature_in_the_other_degrees_is_pointed_out() -> None:
    question = replace(SALT, measure=Measure("°C", "temperature", (-2.0, 50.0), (1.0, 48.0)))
    meant = read("68", question)
    assert isinstance(meant, Refusal)
    assert "68 °F" in meant.message


@given(st.floats(0, 40000), st.sampled_from(["ppm", "mg/L", ""]))
def test_a_number_that_is_typed_out_is_read_back(value: float, unit: str) -> None:
    typed = f"{value:.1f} {unit}"
    meant = read(typed, SALT)
    if isinstance(meant, Refusal):
        meant = read(typed, SALT, doubted=meant.keep)
    assert isinstance(meant, Given)
    assert meant.value == pytest.approx(round(value, 1), abs=0.06)


METERED = replace(SALT, measure=replace(SALT.measure, by_conductivity=True)) if SALT.measure else SALT


AT_18 = replace(METERED, measure=replace(METERED.measure, water_c=18.0)) if METERED.measure else METERED


def test_a_meters_conductivity_is_read_as_salt_and_says_how() -> None:
    """PSS-78 by gsw: 6.5 mS/cm at 25 degC is 3.545, 4.5 at 18 degC is 2.810; kept to 10 ppm."""
    assert read("6.5 mS/cm at 25 C", METERED) == Given(
        3550.0, "6.5 mS/cm at 25 °C, by PSS-78", "6.5 mS/cm at 25 °C, by PSS-78"
    )
    known = read("4.5 mS/cm", AT_18)
    assert isinstance(known, Given)
    assert known.value == pytest.approx(2810)
    typed = read("4.5 mS/cm at 25 C", AT_18)
    assert isinstance(typed, Given)
    assert typed.value != known.value


def test_a_conductivity_without_a_temperature_says_what_is_missing() -> None:
    refused = read("6.5 mS/cm", METERED)
    assert isinstance(refused, Refusal)
    assert "the water temperature" in refused.message
    other = read("6.5 mS/cm", SALT)
    assert isinstance(other, Refusal)
    assert "measures conductivity" in other.message

"""A sheet in US customary units holds no metric figure, a metric one no US figure, and both tell the same dose."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy import constants

from engine.chlorinator.balance import PoolWater, acid_dose
from engine.quantities.unit_systems import System
from engine.session.session import Session
from reports.view import job_view, view_data
from reports.view.amounts import amount_to_put_right, hand_amount, part_amount, work_amounts
from reports.view.known import KnownReadings
from tests.example_counts import up_to
from tests.reports.jobs import DATE, answers, called, job, jobs, opened
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
UNIT = KNOWLEDGE.units["default"]
METRIC = re.compile(r"[0-9] ?(?:°C|m³|mL|L|kg|g/h|g/L|g|kPa|bar|cm|mm|m|litres?)(?![\w³])|/m\b")
US = re.compile(r"[0-9] ?(?:°F|US \w+|lb|oz|psi|ft)(?!\w)|/in\b")
TYPED = frozenset({"typed", "notes", "reason", "job", "why", "opened", "knowledge"})
"""What people typed, or an id: it stays as it is."""
LITRES = {
    "L": 1.0,
    "mL": 0.001,
    "US gal": constants.gallon * 1000,
    "US qt": constants.gallon * 250,
    "US fl oz": constants.fluid_ounce * 1000,
}
KILOGRAMS = {"kg": 1.0, "g": 0.001, "lb": constants.pound, "oz": constants.oz}
FULL = answers(
    tested_salt=2600.0, unit_salt=2500.0, pool_volume=48.0, ph=8.2, alkalinity=110.0, stabiliser=12.0, water_temp=24.0,
    free_chlorine=0.4, hardness=380.0, run_hours=8.0, output_setting=70.0, rated_output=20.0, cell_age_years=3.0,
    cell_voltage=7.0, cell_current=5.0, filter_pressure_rise=60.0, months_since_clean=4.0,
)  # fmt: skip


def texts(data: object) -> Iterator[str]:
    """Every text that a view says of itself."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for name, part in data.items():
            if name not in TYPED:
                yield from texts(part)
    elif isinstance(data, (list, tuple)):
        for part in data:
            yield from texts(part)


def told_in(session: Session, units: System) -> list[str]:
    return list(texts(view_data(job_view(session, DATE, units=units))))


def those_in(told: list[str], system: re.Pattern[str]) -> list[str]:
    return [text for text in told if system.search(text)]


def known(units: System, **numbers: float) -> KnownReadings:
    return KnownReadings(numbers, KNOWLEDGE, UNIT, units)


def sizes(text: str, units: dict[str, float]) -> list[float]:
    """The quantities of a text that stand in one of these units, in their base unit, in order."""
    names = "|".join(sorted(units, key=len, reverse=True))
    return [float(number) * units[unit] for number, unit in re.findall(rf"([0-9.]+) ({names})(?!\w)", text)]


@settings(max_examples=up_to(60), deadline=None)
@given(jobs())
def test_no_sheet_mixes_the_systems(session: Session) -> None:
    assert those_in(told_in(session, "us"), METRIC) == []
    assert those_in(told_in(session, "metric"), US) == []


@pytest.mark.parametrize("complaint", sorted(KNOWLEDGE.trees))
@pytest.mark.parametrize("role", ["counter", "field"])
def test_no_sheet_with_many_readings_mixes_the_systems(complaint: str, role: str) -> None:
    session = job(*opened("field" if role == "field" else "counter", complaint), *FULL)
    us = told_in(session, "us")
    assert those_in(us, METRIC) == []
    assert those_in(us, US)
    assert those_in(told_in(session, "metric"), US) == []


def test_a_call_with_a_clean_tells_its_mix_in_us_units_and_no_stronger() -> None:
    """Ten to one, common practice: in fluid ounces there are at least ten of water to one of acid."""
    repair = KNOWLEDGE.repairs["acid_clean"]
    mix = work_amounts(repair, known("us"))[0].text
    water, acid, whole = sizes(mix, LITRES)
    assert water / acid >= 10
    assert acid <= 0.2
    assert acid == pytest.approx(0.2, rel=0.02)
    assert whole == pytest.approx(water + acid, rel=0.02)
    acid_need = next(need for need in repair.parts if need.part == "cleaning_acid")
    assert sizes(part_amount(acid_need, repair, known("us")).text, LITRES) == pytest.approx([acid])


@given(st.floats(0, 1.5), st.floats(5, 500))
def test_a_dose_of_chlorine_is_the_same_in_both_systems(now: float, volume: float) -> None:
    metric, us = (
        sizes(hand_amount(known(units, free_chlorine=now, pool_volume=volume)).text, LITRES) for units in SYSTEMS
    )
    # Two digits are told: one side may be off by five in a hundred at most, the other as well.
    assert len(metric) == len(us)
    assert us == pytest.approx(metric, rel=0.1)


@example(now=1348.0, volume=5.0)
@given(st.floats(200, 2500), st.floats(5, 500))
def test_a_dose_of_salt_is_the_same_in_both_systems(now: float, volume: float) -> None:
    repair = KNOWLEDGE.repairs["add_salt"]
    metric, us = (
        sizes(part_amount(repair.parts[0], repair, known(u, tested_salt=now, pool_volume=volume)).text, KILOGRAMS)
        for u in SYSTEMS
    )
    # Told in whole kilograms and pounds, and in three digits of pounds.
    assert us == pytest.approx(metric, rel=0.006, abs=0.5 + constants.pound / 2)


@given(st.floats(7.8, 8.4), st.floats(60, 200), st.floats(0, 80), st.floats(5, 300))
def test_acid_is_never_told_above_what_was_worked_out(ph: float, total: float, cya: float, volume: float) -> None:
    """The lower of both systems' doses is at most one step of two digits, a tenth, below the higher."""
    numbers = {"ph": ph, "alkalinity": total, "stabiliser": cya, "pool_volume": volume, "water_temp": 25.0}
    doses = [amount_to_put_right("ph", "high", known(units, **numbers)) for units in SYSTEMS]
    metric, us = (sizes(dose.text, LITRES)[0] for dose in doses if dose is not None)
    assert us == pytest.approx(metric, rel=0.1)
    worked_out = acid_l(volume, ph, total, cya)
    assert metric <= worked_out * (1 + 1e-9)
    assert us <= worked_out * (1 + 1e-9)


def acid_l(volume: float, ph: float, total: float, cya: float) -> float:
    """The dose before it is rounded for the reader."""
    water = PoolWater(ph, 25.0, 250.0, total, cya, UNIT.values["salt.ideal"])
    return acid_dose(volume, water, 7.5).hcl_31_ml / 1000


def test_a_reading_that_was_typed_stays_as_typed() -> None:
    seen = job_view(called("dirty filter and mud on the sensor"), DATE, units="us")
    assert [line for line in seen.found if line.check == "filter_pressure_rise"]
    assert all("kPa" not in line.said for line in seen.found)


SYSTEMS: tuple[System, ...] = ("metric", "us")

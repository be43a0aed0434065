"""What a sheet says was found: answers with units, verdicts and sources, and the findings worked out from them."""

from __future__ import annotations

import pytest

from engine.session.journal import Event
from reports.view import job_view
from reports.view.model import JobView
from tests.reports.jobs import AT, DATE, answers, job, opened
from tests.shipped import knowledge

KNOWLEDGE = knowledge()


def view(*events: Event) -> JobView:
    return job_view(job(*events), DATE)


SCALED = [*opened("field", "low-salt"), *answers(tested_salt=3400.0, unit_salt=2400.0, cell_plates="white_scale")]


def test_findings_have_units_verdicts_and_sources() -> None:
    found = {line.check: line for line in view(*SCALED).found}
    assert (found["tested_salt"].said, found["tested_salt"].verdict) == ("3400 ppm", "right")
    assert found["tested_salt"].given_by == "test kit"
    assert found["unit_salt"].given_by == "the unit's own reading"
    assert found["cell_plates"].said == "white scale"
    assert not any(line.left for line in found.values())


@pytest.mark.parametrize(
    ("role", "brought", "check", "source"),
    [
        ("counter", "water_sample", "tested_salt", "tested at the counter"),
        ("counter", "cell", "cell_plates", "seen at the counter"),
        ("counter", "nothing", "tested_salt", "the customer"),
        ("phone", "nothing", "water_look", "the customer, at the pool"),
        ("field", "nothing", "cell_current", "meter"),
        ("field", "nothing", "cell_plates", "seen inside"),
    ],
)
def test_who_or_what_gave_an_answer(role: str, brought: str, check: str, source: str) -> None:
    value: str | float = 3000.0 if KNOWLEDGE.checks[check].is_number else KNOWLEDGE.checks[check].answers[0].id
    value = 18.0 if check == "cell_current" else value
    assert role in KNOWLEDGE.roles
    events = opened("counter", "low-salt", brought=brought)
    events[1] = Event("answered", AT, about="role", value=role)
    (_, line) = view(*events, *answers(**{check: value})).found
    assert line.given_by == source


def test_an_instrument_or_memory_is_named_and_what_was_typed_is_kept() -> None:
    typed = Event("answered", AT, about="tested_salt", value=3200.0, text="3.2 g/L", by="strip")
    remembered = Event("answered", AT, about="months_since_clean", value=5.0, text="5", by="memory")
    _, salt, months = view(*opened("phone", "low-salt"), typed, remembered).found
    assert (salt.typed, salt.given_by) == ("3.2 g/L", "strip")
    assert (months.typed, months.given_by) == ("", "from memory")


def test_a_reading_near_a_limit_is_called_so() -> None:
    limit = KNOWLEDGE.units["default"].values["salt.low"]
    _, line = view(*opened("field", "low-salt"), *answers(tested_salt=limit)).found
    assert line.verdict.endswith("borderline")


def test_a_known_unit_says_its_report_in_its_own_sentence() -> None:
    report = answers(unit_report="low_salt_running")
    _, line = view(*opened("counter", "low-salt", unit="number_display"), *report).found
    assert line.unit_says == KNOWLEDGE.units["number_display"].reports["low_salt_running"]


def test_a_reading_is_not_named_twice() -> None:
    water = answers(ph=8.0, hardness=380.0, alkalinity=120.0)
    derived = view(*opened("field", "no-output"), *water).derived
    assert {line.finding: line.readings[0] for line in derived} == {
        "scaling_tendency": "pH 8",
        "balance_driver": "pH 8",
    }


def test_a_derived_finding_names_its_readings_and_what_was_assumed() -> None:
    seen = view(*SCALED)
    (gap,) = seen.derived
    assert gap.said == "unit reads low"
    assert [reading.split()[-2] for reading in gap.readings] == ["2400", "3400"]
    assert {line.check for line in seen.found if line.counted_in} == {"unit_salt"}
    by_unit = view(
        *opened("field", "no-output"), *answers(cell_current=9.0, tested_salt=3500.0, unit_temp=24.0)
    ).derived
    assert [line.assumed for line in by_unit if line.finding == "current_gap"] == [()]
    (balance,) = view(*opened("field", "no-output"), *answers(run_hours=3.0)).derived
    assert any("50 m³" in text for text in balance.assumed)


def test_free_chlorine_should_be_no_less_than_the_stabiliser_asks_for() -> None:
    """A twentieth of the stabiliser, as the sheet's other lines have it: 80 ppm ask for 4 ppm."""
    told = {
        line.check: line.limits
        for line in view(*opened("field", "no-output"), *answers(stabiliser=80.0, free_chlorine=1.2)).found
    }
    assert told["free_chlorine"] == "4 ppm to 5 ppm"

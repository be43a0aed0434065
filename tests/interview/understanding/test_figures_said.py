"""Numbers in free lines: times of the clock, years, bounds, ratios, things counted, and whose number each is."""

from __future__ import annotations

from importlib.resources import files

import pytest

from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import Knowledge
from tests.spoken.hearing import facts, hear


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return load_knowledge(files("faults"), "en")


@pytest.mark.parametrize(
    ("line", "check", "value"),
    [
        ("runs from six in the morning till two in the arvo", "run_hours", 8),
        ("pump from 10 till 16", "run_hours", 6),
        ("pump timer is 9-5", "run_hours", 8),
        ("pump runs 7-11 and 4-8", "run_hours", 8),
        ("cell fitted in 2019", "cell_age_years", 7),
        ("cell not cleaned for a year and a half", "months_since_clean", 18),
        ("cell volts -21.5", "cell_voltage", 21.5),
        ("ph was 8.0 last month, today 7.5", "ph", 7.5),
        ("0.2 ph 8.1", "ph", 8.1),
        ("fc 3.0, total 3.1", "combined_chlorine", 0.1),
        ("water is 24 degrees", "water_temp", 24),
    ],
)
def test_a_number_is_read_as_it_is_said(knowledge: Knowledge, line: str, check: str, value: float) -> None:
    assert facts(line, knowledge)[check] == pytest.approx(value, abs=0.01)


@pytest.mark.parametrize(
    ("line", "check"),
    [
        ("pump on under 5 hours a day", "run_hours"),
        ("cell is 4 or 5 years old", "cell_age_years"),
        ("15,000 gallon pool", "pool_volume"),
        ("timer on the pump is 9-5, chlorinator clock set 6pm til midnight", "run_hours"),
    ],
)
def test_a_bound_and_one_of_two_are_offered_and_not_taken(knowledge: Knowledge, line: str, check: str) -> None:
    heard = hear(line, knowledge)
    assert check not in {fact.check for fact in heard.facts}
    assert check in {each.check for item in heard.unclear for each in item.candidates}


@pytest.mark.parametrize("line", ["pump strainer 3/4 full", "watered the sample down 1 to 4", "tax is 21 % on top"])
def test_a_share_and_a_ratio_are_no_readings(knowledge: Knowledge, line: str) -> None:
    assert not [value for value in facts(line, knowledge).values() if isinstance(value, float)]

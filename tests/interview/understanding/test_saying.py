"""What changes the meaning of a saying: conditions, denials, commas and comparisons."""

from __future__ import annotations

from importlib.resources import files

import pytest

from engine.knowledge.loader import load_knowledge
from tests.spoken.hearing import hear

KNOWLEDGE = load_knowledge(files("faults"))


def _facts(line: str) -> dict[str, str | float]:
    return {fact.check: fact.value for fact in hear(line, KNOWLEDGE).facts}


@pytest.mark.parametrize(
    ("line", "check", "value"),
    [
        ("the pump is running", "pump_running", "running"),
        ("the unit won't come on", "unit_power", "dark"),
        ("the unit will not come on", "unit_power", "dark"),
        ("jets weaker than last month", "return_flow", "weak"),
    ],
)
def test_a_saying_states_its_answer(line: str, check: str, value: str) -> None:
    assert _facts(line).get(check) == value


@pytest.mark.parametrize(
    ("line", "check"),
    [
        ("it drips as soon as the pump is running", "pump_running"),
        ("the screen says no flow", "unit_power"),
        ("no lights wrong, it makes chlorine", "unit_power"),
        ("cell housing, water sprays on the gravel", "air_in_cell"),
        ("jets were weak last month", "return_flow"),
    ],
)
def test_what_only_looks_like_a_saying_states_nothing(line: str, check: str) -> None:
    assert check not in _facts(line)


@pytest.mark.parametrize(
    ("line", "check"),
    [
        ("salt went in yesterday, no, sorry, saturday", "salt_added"),
        ("the plates are clean, no wait, I mixed that up with another job", "cell_plates"),
        ("pump is running, sorry, my mistake, that was the cleaner", "pump_running"),
    ],
)
def test_what_is_taken_back_at_once_is_not_taken(line: str, check: str) -> None:
    heard = hear(line, KNOWLEDGE)
    assert check not in {fact.check for fact in heard.facts}
    assert check in {each.check for item in heard.unclear for each in item.candidates}


def test_what_is_denied_behind_it_takes_nothing_back() -> None:
    found = _facts("pump is running, no smell, no alarms")
    assert found.get("pump_running") == "running"


@pytest.mark.parametrize("who", ["the unit", "screen", "his box", "the salt machine"])
@pytest.mark.parametrize("verb", ["reckons", "thinks"])
def test_what_a_unit_thinks_is_what_it_shows(who: str, verb: str) -> None:
    assert _facts(f"{who} {verb} salt is 2700")["unit_salt"] == 2700.0


@pytest.mark.parametrize("who", ["he", "the owner", "his wife"])
def test_what_somebody_thinks_is_asked_back(who: str) -> None:
    assert "cell_plates" not in _facts(f"{who} reckons the plates are clean")

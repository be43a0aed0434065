"""Asked in US customary units: a bare number is in them, and a number with its unit means the same in both systems."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from engine.knowledge.model import DANGER_CHECK, ROLES, Check, RoleId
from engine.quantities.unit_systems import unit_asked_in, use_system
from engine.session.acts import Act
from engine.session.session import Session
from interview.commands.app import command_line
from interview.dialogue.history import value_words
from interview.dialogue.questions import question_for
from interview.frontends.layout import prompt_for
from interview.messages import Given
from interview.storage.settings import units_in_use
from interview.understanding.numbers import number_in, read_typed
from tests.interview.people import opened
from tests.shipped import knowledge, models

NUMBERS = [check for check in knowledge().checks.values() if check.is_number]
METRIC = re.compile(r"[0-9] (?:°C|kPa|bar|m³|L|mL|kg|g|cm|mm|m|g/h|g/L|m³/h)(?![\w/³])")
"""A figure in a unit that US customary ones stand in for; salt is in ppm in both."""


@pytest.fixture(autouse=True)
def in_us_units() -> Iterator[None]:
    use_system("us")
    yield
    use_system("metric")


def begun(role: RoleId = "field") -> Session:
    said = {"role": role, DANGER_CHECK: "none", "unit": "default", "complaint": "no-output", "brought": "nothing"}
    return opened(Session(models()), *said.items())


# NIST SP 811 (2008), appendix B: 1 US gal = 3.785412 L, 1 psi = 6.894757 kPa, 1 lb = 453.5924 g; t/°C = (t/°F - 32)/1.8
@pytest.mark.parametrize(
    ("check", "typed", "value"),
    [
        ("water_temp", "68", 20.0),
        ("water_temp", "20 C", 20.0),
        ("water_temp", "68 degrees", 20.0),
        ("pool_volume", "15000", 56.78118),
        ("pool_volume", "15,000 gal", 56.78118),
        ("pool_volume", "15000 gallons", 56.78118),
        ("pool_volume", "50 m3", 50.0),
        ("pool_volume", "11000 impgal", 50.00699),
        ("tested_salt", "3200", 3200.0),
    ],
)
def test_a_bare_number_is_in_the_unit_that_is_asked_in(check: str, typed: str, value: float) -> None:
    found = knowledge().checks[check]
    assert read_typed(typed, str(found.unit), "", found.possible).value == pytest.approx(value, rel=1e-5)


@pytest.mark.parametrize("check", NUMBERS, ids=lambda check: check.id)
def test_what_is_asked_in_one_unit_is_shown_back_in_it(check: Check) -> None:
    session = begun()
    question = question_for(session, Act("ask", check.id))
    assert question.measure is not None
    asked = unit_asked_in(str(check.unit))
    assert asked in prompt_for(question) or asked == check.unit
    middle = sum(question.measure.plausible) / 2
    reply = number_in(f"{middle:.0f}" if asked == check.unit else "100", question.measure, again=True)
    if isinstance(reply, Given) and asked != check.unit:
        assert value_words(session, check.id, reply.value).startswith("100 ")


@pytest.mark.parametrize("role", ROLES)
def test_no_question_and_no_step_has_a_figure_in_a_metric_unit(role: RoleId) -> None:
    session, metric = begun(role), {}
    acts = [Act("ask", name) for name in knowledge().checks] + [Act("perform", name) for name in knowledge().repairs]
    for act in acts:
        question = question_for(session, act)
        told = [question.text, question.how, question.before_steps, *question.steps, *question.details]
        told += [choice.text for choice in question.choices]
        if found := [text for text in told if METRIC.search(text)]:
            metric[act.about] = found
    assert metric == {}


CALL = str(Path(__file__).parents[3] / "faults" / "calls" / "visible.yaml")


def test_units_are_a_setting_that_is_told_when_it_changes_and_can_be_given_once(
    capsys: pytest.CaptureFixture[str],
) -> None:
    def told(*options: str) -> str:
        assert command_line(["ask", "--facts", CALL, "--for", "shop", *options]) == 0
        return capsys.readouterr().err

    assert told("--units", "us", "--once") == ""
    assert units_in_use() == "metric"
    change = told("--units", "us")
    assert "--units metric" in change
    assert "--once" in change
    assert units_in_use() == "us"
    assert told("--units", "us") == ""
    assert "--units us" in told("--units", "metric")
    assert command_line(["ask", "--facts", CALL, "--once"]) == 2
    assert "--units" in capsys.readouterr().err


def test_a_computation_says_its_results_in_us_units_with_the_metric_ones_beside(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """By hand: 50 m³ lack 2000 ppm, so 100 kg, which is 220.46 lb; 50 m³ are 13 208.6 US gal (NIST SP 811)."""
    words = ["compute", "salt-dose", "volume=50m3", "now=1200ppm", "target=3200"]
    for units, wanted in (("metric", False), ("us", True)):
        assert command_line(["ask", "--facts", CALL, "--units", units]) == 0
        capsys.readouterr()
        for language in ("es", "en"):
            assert command_line(["--language", language, *words]) == 0
            told = " ".join(capsys.readouterr().out.split())
            assert ("= 220 lb (100 kg)" in told) is wanted
            assert ("13200 US gal (50 m³)" in told) is wanted
            assert ("= 100 kg" in told) is not wanted

"""Readings that tell only together, and the readings that stand for a band."""

from __future__ import annotations

import pytest

from engine.model import RoleId
from engine.readings import Reading
from engine.strategy.options import finding_looks, outcomes, points
from tests.engine.test_strategy import KNOWLEDGE, UNIT, situation
from tests.shipped import models


@pytest.mark.parametrize("role", ["counter", "field"])
def test_readings_wanted_together_cost_what_each_of_them_costs(role: RoleId) -> None:
    """Volts, amps and salt for the state of the cell; minutes by hand from the checks and the roles file."""
    who = KNOWLEDGE.roles[role]
    looks = finding_looks(KNOWLEDGE, models().tree("no-output"), UNIT, situation(role))
    wanted = {frozenset(checks): look for look, checks in looks}
    chlorine = frozenset({"pool_volume", "rated_output", "output_setting", "run_hours"})
    assert any(chlorine <= checks for checks in wanted)
    for checks, look in wanted.items():
        by_hand = sum(KNOWLEDGE.checks[c].minutes[role] + who.minutes["question"] for c in checks)
        if all(KNOWLEDGE.checks[c].plant in ("any", "running") for c in checks):
            assert look.minutes[0] == pytest.approx(by_hand)
        assert len(checks) >= 2
        assert all(KNOWLEDGE.checks[c].needs in who.can_use or KNOWLEDGE.checks[c].brought for c in checks)


def test_a_finding_that_lacks_one_reading_is_no_look_of_its_own() -> None:
    """Whoever has given the salt, the hours and all but one reading is asked for that one by itself."""
    said = {"unit_salt": Reading(2600.0)}
    looks = finding_looks(KNOWLEDGE, models().tree("low-salt"), UNIT, situation("field", said))
    assert all({"unit_salt", "tested_salt"} != set(checks) for _, checks in looks)
    assert all("unit_salt" not in checks for _, checks in looks)


def test_two_readings_stand_for_each_band() -> None:
    """Tested salt by hand: limits 2400, 2800, 4500; inner bands at a quarter and three quarters."""
    values = points(KNOWLEDGE.checks["tested_salt"], UNIT)
    assert values[2:6] == [2500.0, 2700.0, 3225.0, 4075.0]
    assert len(values) == 8
    assert values == sorted(values)
    assert values[1] < 2400 < values[2]
    assert values[5] < 4500 < values[6]


def test_a_reading_that_completes_a_finding_is_valued_by_number_and_any_other_by_its_answers() -> None:
    """Unit's salt beside the tested salt is a ratio: two readings a band. Alone it says no more than its own table."""
    check, tree = KNOWLEDGE.checks["unit_salt"], models().tree("no-output")
    alone = outcomes(KNOWLEDGE, tree, UNIT, check, {})
    beside = outcomes(KNOWLEDGE, tree, UNIT, check, {"tested_salt": Reading(3500.0)})
    assert len(alone) == len(check.answers)
    assert len(beside) == 2 * len(check.bands)
    assert beside.sum(axis=0) == pytest.approx(1.0)

"""Readings that tell only together, and the readings that stand for a band."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.findings.evidence import Observation, derived, evidence
from engine.inference.belief import joint_weight
from engine.knowledge.model import Band, Finding, Limit, RoleId
from engine.strategy.options import FAR_OUT, NEAR_OUT, finding_looks, outcomes, points, shown, single_looks
from tests.engine.strategy.test_strategy import KNOWLEDGE, TREES, UNIT, situation
from tests.example_counts import up_to
from tests.shipped import models

NUMBERS = sorted(check.id for check in KNOWLEDGE.checks.values() if check.is_number)


def findings_of(name: str) -> list[Finding]:
    """The derived findings that a reading goes into."""
    return [f for f in KNOWLEDGE.findings.values() if name in f.inputs]


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
    said = {"unit_salt": Observation(2600.0)}
    looks = finding_looks(KNOWLEDGE, models().tree("low-salt"), UNIT, situation("field", said))
    assert all({"unit_salt", "tested_salt"} != set(checks) for _, checks in looks)
    assert all("unit_salt" not in checks for _, checks in looks)


def test_two_readings_stand_for_each_band() -> None:
    """Tested salt by hand: limits 1000, 2400, 2800, 4500; inner bands at a quarter and three quarters."""
    values = points(KNOWLEDGE.checks["tested_salt"], UNIT)
    assert values[2:8] == [1350.0, 2050.0, 2500.0, 2700.0, 3225.0, 4075.0]
    assert len(values) == 10
    assert values == sorted(values)
    assert values[1] < 1000 < values[2]
    assert values[7] < 4500 < values[8]


def test_a_reading_that_completes_a_finding_is_valued_by_number_and_any_other_by_its_answers() -> None:
    """Unit's salt beside the tested salt is a ratio: two readings a band. Alone it says no more than its own table."""
    check, tree = KNOWLEDGE.checks["unit_salt"], models().tree("no-output")
    alone = outcomes(KNOWLEDGE, tree, UNIT, check, {})
    beside = outcomes(KNOWLEDGE, tree, UNIT, check, {"tested_salt": Observation(3500.0)})
    assert len(alone) == len(check.answers)
    assert len(beside) == 2 * len(check.bands)
    assert beside.sum(axis=0) == pytest.approx(1.0)


@settings(deadline=None, max_examples=up_to(60))
@given(st.sampled_from(TREES), st.sampled_from(NUMBERS), st.integers(0, 2**32 - 1))
def test_what_a_reading_may_show_is_what_it_says_once_it_is_given(tree: str, name: str, seed: int) -> None:
    """Bayes: between two readings of one check, only what either then says of a hypothesis may differ."""
    rng, model, check = np.random.default_rng(seed), models().tree(tree), KNOWLEDGE.checks[name]
    others = [c for c in NUMBERS if c != name and rng.random() < 0.6]
    said = {c: Observation(float(rng.choice(points(KNOWLEDGE.checks[c], UNIT)))) for c in others}
    table = outcomes(KNOWLEDGE, model, UNIT, check, said)
    after = [{**said, name: Observation(value)} for value in points(check, UNIT)]
    sets = [{f.id for f in findings_of(name) if derived(f, KNOWLEDGE, UNIT, told) is not None} for told in after]
    if not sets[0] or any(found != sets[0] for found in sets):
        # Alone it says no more than its own table; where a formula holds for some of the readings only, it is left out.
        return
    weights = np.array([joint_weight(model, evidence(KNOWLEDGE, UNIT, answers)) for answers in after])
    assert len(table) == len(weights)
    gap = np.log(table) - weights
    telling = table > 1e-6
    first = int(np.argmax(table.min(axis=1)))
    for row in range(len(table)):
        both = telling[row] & telling[first]
        differs = (gap[row] - gap[first])[both]
        assert differs == pytest.approx(np.full(len(differs), differs.mean()), abs=1e-4)


@pytest.mark.parametrize("name", NUMBERS)
def test_two_readings_of_each_band_lie_in_it_and_within_what_is_possible(name: str) -> None:
    check = KNOWLEDGE.checks[name]
    values, bands = points(check, UNIT), shown(models().tree("no-output"), check, 2 * len(check.bands))
    assert check.possible is not None
    limits = [check.possible[0], *(b.under.value(UNIT) for b in check.bands if b.under is not None), check.possible[1]]
    for value, band in zip(values, bands, strict=True):
        place = [b.id for b in check.bands].index(band)
        assert limits[place] <= value <= limits[place + 1]
    assert [bands.count(b.id) for b in check.bands] == [2] * len(check.bands)


@pytest.mark.parametrize("tree", TREES)
def test_an_outcome_is_named_by_the_answer_that_the_complaint_leaves_open(tree: str) -> None:
    """Every row of a check without derived findings is one of its answers; of a complaint's own, one of those given."""
    model = models().tree(tree)
    for check in KNOWLEDGE.checks.values():
        table = outcomes(KNOWLEDGE, model, UNIT, check, {})
        assert table.sum(axis=0) == pytest.approx(1.0)
        if not any(derived(f, KNOWLEDGE, UNIT, {check.id: Observation(1.0)}) for f in findings_of(check.id)):
            left = KNOWLEDGE.trees[tree].given.get(check.id, tuple(a.id for a in check.answers))
            assert shown(model, check, len(table)) == list(left)


def test_two_readings_that_one_question_each_would_give_are_wanted_together() -> None:
    """The unit's salt beside a test of it, from a technician who may have both."""
    groups = {frozenset(c) for _, c in finding_looks(KNOWLEDGE, models().tree("low-salt"), UNIT, situation("field"))}
    assert frozenset({"unit_salt", "tested_salt"}) in groups


def test_readings_of_which_one_can_no_longer_be_had_are_not_wanted_together() -> None:
    """Salt that was asked for and is not known: without it volts and amps do not tell a cell's state by Ohm's law."""
    now, pair = situation("field"), {"cell_voltage", "cell_current"}
    no_salt = replace(now, open_checks=[c for c in now.open_checks if c != "tested_salt"])
    known = replace(no_salt, answers={"tested_salt": Observation(3400.0)})
    for where, wanted in ((now, [pair | {"tested_salt"}]), (no_salt, []), (known, [pair])):
        groups = [set(checks) for _, checks in finding_looks(KNOWLEDGE, models().tree("no-output"), UNIT, where)]
        assert [group for group in groups if pair <= group] == wanted


def test_a_finding_that_is_told_in_part_starts_from_what_its_readings_say_already() -> None:
    """Bayes, band by band: a pool of 120 m3 speaks for a short balance before its unit's hours are known."""
    model, said = models().tree("no-output"), {"pool_volume": Observation(120.0)}
    groups = finding_looks(KNOWLEDGE, model, UNIT, situation("field", said))
    look = next(look for look, checks in groups if {"output_setting", "run_hours"} <= set(checks))
    partly = derived(KNOWLEDGE.findings["chlorine_balance"], KNOWLEDGE, UNIT, said)
    assert partly is not None
    for row, weight, before in zip(look.outcomes, partly.weights, model.tables["chlorine_balance"], strict=True):
        total = np.array(partly.weights) @ model.tables["chlorine_balance"]
        assert row == pytest.approx(weight * before / total, abs=1e-9)


@pytest.mark.parametrize("role", ["counter", "field"])
def test_a_look_leaves_the_plant_in_the_state_that_it_needs(role: RoleId) -> None:
    """Running, isolated, or as it was."""
    now = situation(role)
    plan = single_looks(KNOWLEDGE, now, lambda check, _: models().tree("no-output").tables[check.id])
    for look in plan:
        wanted = KNOWLEDGE.checks[look.id].plant
        assert look.leaves == {"any": (0, 1), "running": (0, 0), "isolated": (1, 1)}[wanted]


@pytest.mark.parametrize(("limits", "width"), [((-20.0, -10.0, 0.0), 10.0), ((0.0, 10.0), 10.0), ((-4.0, 16.0), 20.0)])
def test_outside_the_limits_readings_lie_by_the_width_of_the_bands_between_them(
    limits: tuple[float, ...], width: float
) -> None:
    bands = tuple(Band(str(k), Limit(limit)) for k, limit in enumerate(limits))
    check = replace(KNOWLEDGE.checks["tested_salt"], bands=(*bands, Band("over", None)), possible=(-1e3, 1e3))
    values = points(check, UNIT)
    assert values[:2] == [limits[0] - FAR_OUT * width, limits[0] - NEAR_OUT * width]
    assert values[-2:] == [limits[-1] + NEAR_OUT * width, limits[-1] + FAR_OUT * width]


@pytest.mark.parametrize("name", NUMBERS)
def test_readings_do_not_depend_on_the_unit_in_which_they_are_given(name: str) -> None:
    """Grams for milligrams: everything a thousandth."""
    check = KNOWLEDGE.checks[name]
    assert check.possible is not None
    low, high = check.possible
    limits = [None if b.under is None else Limit(b.under.value(UNIT) / 1000.0) for b in check.bands]
    bands = tuple(replace(b, under=limit) for b, limit in zip(check.bands, limits, strict=True))
    finer = replace(check, bands=bands, possible=(low / 1000.0, high / 1000.0))
    assert [1000.0 * value for value in points(finer, UNIT)] == pytest.approx(points(check, UNIT))

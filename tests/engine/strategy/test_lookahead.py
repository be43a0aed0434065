"""Laws of the strategy's core, on random small problems, against slow plain methods."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.strategy.decision import DecisionModel, Look, after_failure, decision_model
from engine.strategy.lookahead import Position, depth, next_step, worths
from tests.benchmarks.exact import Problem, optimum
from tests.benchmarks.policies import expected_minutes, repairs_only
from tests.benchmarks.small_models import position_of, random_problem
from tests.engine.strategy.test_strategy import planner, situation
from tests.example_counts import up_to
from tests.shipped import knowledge, models


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    return random_problem(rng, draw(st.integers(2, 4)), draw(st.integers(1, 2)))


@settings(deadline=None, max_examples=up_to(40))
@given(problems())
def test_no_policy_beats_the_optimum_and_looking_ahead_is_near_it(problem: Problem) -> None:
    model, position = position_of(problem)
    best, ours = optimum(problem), expected_minutes(model, position)
    assert best - 1e-9 <= ours <= 1.05 * best
    assert ours <= expected_minutes(model, position, repairs_only) + 1e-9


@settings(deadline=None, max_examples=up_to(30))
@given(problems())
def test_one_more_option_never_raises_the_optimum(problem: Problem) -> None:
    fewer = replace(problem, looks=problem.looks[:-1], look_cost=problem.look_cost[:-1])
    without = replace(problem, cures=problem.cures[:-1], repair_cost=problem.repair_cost[:-1])
    assert optimum(problem) <= optimum(fewer) + 1e-9
    assert optimum(problem) <= optimum(without) + 1e-9


@settings(deadline=None, max_examples=up_to(40))
@given(problems(), st.integers(0, 3))
def test_a_look_is_never_worth_more_than_it_saves(problem: Problem, seed: int) -> None:
    """The exact saving is the optimum without looks less the optimum with them."""
    rng = np.random.default_rng(seed)
    tiny = replace(random_problem(rng, 2, 1), prior=problem.prior[:2] / problem.prior[:2].sum())
    model, position = position_of(tiny)
    never = optimum(replace(tiny, looks=(), look_cost=tiny.look_cost[:0]))
    worth = worths(model, position)[0]
    assert depth(position) == 3
    assert max(0.0, worth.gain - worth.minutes) <= never - optimum(tiny) + 1e-9


def test_a_pair_of_which_one_cause_is_cured_becomes_the_other() -> None:
    """By hand: causes a, b and both at .5, .3, .2; a repair that cures a in 4 of 5 leaves .1, .3 + .16, .04."""
    model = pairs()
    left = after_failure(model, np.array([[0.5, 0.3, 0.2, 0.0]]), 0)[0]
    assert left == pytest.approx([0.1, 0.46, 0.04, 0.0])
    assert left.sum() == pytest.approx(1.0 - 0.5 * 0.8)


def test_a_repair_may_cure_both_causes_of_a_pair_or_one_of_them() -> None:
    """By hand: .8 and .5 cured; of the pair .2 x .5 stays both, .8 x .5 becomes b, .2 x .5 becomes a, .4 is cured."""
    both = np.array([[0.8, 0.5]])
    model = decision_model([(0,), (1,), (0, 1)], both, np.ones(1), np.ones(1), np.full(3, 100.0))
    assert after_failure(model, np.array([[0.0, 0.0, 1.0]]), 0)[0] == pytest.approx([0.1, 0.4, 0.1])


def test_a_look_is_worth_its_saving_times_the_chance_of_an_answer() -> None:
    """By hand: p = (.6, .3, .1), c = (6, 4, 10), P(yes) = (.9, .1, .1): an answer saves 1.38, half a chance .69."""
    cost = np.array([6.0, 4.0, 10.0])
    model = decision_model([(0,), (1,), (2,)], np.eye(3), cost, cost, np.full(3, 1e6))
    look = Look("look", (1.0,), np.array([[0.9, 0.1, 0.1], [0.1, 0.9, 0.9]]), chance=0.5)
    position = Position(np.array([0.6, 0.3, 0.1]), (look,), np.ones(3, dtype=bool))
    assert worths(model, position)[0].gain == pytest.approx(0.69)


def test_a_repair_with_the_supply_off_already_saves_the_switching() -> None:
    plan = planner("low-salt", "field")
    clean = plan.decision.repairs.index("acid_clean")
    switch = knowledge().roles["field"].minutes["isolate"]
    assert plan.decision.right[0, clean] - plan.decision.right[1, clean] == pytest.approx(switch)


def pairs() -> DecisionModel:
    cures = np.array([[0.8, 0.0], [0.0, 0.9]])
    return decision_model([(0,), (1,), (0, 1), ()], cures, np.full(2, 5.0), np.full(2, 9.0), np.full(4, 100.0))


def test_a_pair_is_worked_off_one_repair_after_the_other() -> None:
    """By hand, the pair certain: .8 x .9 cured by both repairs, else handed on: 9 + .72 x 5 + .28 x 9 + .28 x 100."""
    model = pairs()
    position = Position(np.array([0.0, 0.0, 1.0, 0.0]), (), np.ones(2, dtype=bool))
    assert next_step(model, position)[0] == "repair"
    assert expected_minutes(model, position) == pytest.approx(9.0 + 0.72 * 5.0 + 0.28 * 9.0 + 0.28 * 100.0)


def test_several_repairs_for_one_cause_are_tried_while_they_pay() -> None:
    """One cause, repairs at 2 and 6 that cure it in half of the cases each, handing on 40: 2 + .5 * 6 + .25 * 40."""
    model = decision_model(
        [(0,)], np.array([[0.5], [0.5]]), np.array([2.0, 6.0]), np.array([2.0, 6.0]), np.array([40.0])
    )
    position = Position(np.array([1.0]), (), np.ones(2, dtype=bool))
    assert next_step(model, position) == ("repair", 0)
    assert expected_minutes(model, position) == pytest.approx(2.0 + 0.5 * 6.0 + 0.25 * 40.0)


def test_causes_that_share_their_remedy_are_not_told_apart() -> None:
    """Ambiguity groups, Sun and Weld 1993: between two waters that are both swapped there is nothing left to ask."""
    assert knowledge().causes["salt_high"].repairs == knowledge().causes["stabiliser_high"].repairs
    shares: dict[tuple[str, ...], float] = {("salt_high",): 0.6, ("stabiliser_high",): 0.4}
    belief = np.array([shares.get(h, 0.0) for h in models().tree("no-output").hypotheses])
    appraised = planner("no-output", "field").appraise(belief, situation("field"), "settle")
    assert all(a.bits == pytest.approx(0.0, abs=1e-9) and a.worth < 0 for a in appraised)


def test_an_explanation_adds_up() -> None:
    """Law of total probability: what the outcomes show, weighed by their chances, is the belief before."""
    model = models().tree("low-salt")
    plan, now = planner("low-salt", "counter"), situation("counter")
    for appraisal in plan.appraise(model.prior, now, "mend"):
        told = plan.explain(model.prior, now, "mend", appraisal.check)
        assert told.appraisal == appraisal
        assert sum(outcome.probability for outcome in told.outcomes) == pytest.approx(1.0)
        for cause in ("salt_low", "cell_scaled"):
            after = [(o.probability, row) for o in told.outcomes for row in o.causes if row[0] == cause]
            mean = sum(chance * row[2] for chance, row in after)
            assert mean == pytest.approx(after[0][1][1], abs=1e-9)
    with pytest.raises(LookupError):
        plan.explain(model.prior, now, "mend", "danger_now")


def test_what_stands_for_a_hypothesis_when_remedies_are_compared() -> None:
    """By hand: causes 0 and 1 go by repairs of 5 and 7 minutes, 2 by none; a pair takes both; the rest is handed on."""
    cures = np.array([[0.9, 0.0, 0.0], [0.0, 0.8, 0.0]])
    hand_on = np.array([10.0, 20.0, 30.0, 40.0, 50.0])
    cost = np.array([5.0, 7.0])
    model = decision_model([(0,), (1,), (0, 1), (2,), ()], cures, cost, 2 * cost, hand_on)
    assert model.choice.tolist() == [0, 1, 2]
    assert model.by_remedy(np.eye(5)).tolist() == [[1, 0, 0], [0, 1, 0], [0.5, 0.5, 0], [0, 0, 1], [0, 0, 1]]
    assert model.knowing.tolist() == [5.0, 7.0, 12.0, 40.0, 50.0]
    kept = model.only(np.array([True, False, True, False, True]))
    assert kept.knowing.tolist() == [5.0, 12.0, 50.0]


def test_of_two_repairs_the_one_with_most_chance_for_its_minutes_stands_for_a_cause() -> None:
    """.9 in 9 minutes against .5 in 4: .1 and .125 a minute."""
    model = decision_model([(0,)], np.array([[0.9], [0.5]]), np.ones(2), np.array([9.0, 4.0]), np.array([99.0]))
    assert model.choice.tolist() == [1]

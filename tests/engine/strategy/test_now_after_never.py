"""Looks taken now, after the best repair or never, and parts swapped in to try them: against slow plain methods."""

from __future__ import annotations

from dataclasses import replace
from unittest import mock

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.inference.belief import after_failed_repair
from engine.session.journal import Event
from engine.session.session import Session
from engine.strategy import lookahead
from engine.strategy.costs import remedy_for
from engine.strategy.decision import Look, after_failure, decision_model
from engine.strategy.lookahead import Position, next_step, worths
from tests.benchmarks.exact import Problem, optimum
from tests.benchmarks.policies import expected_minutes
from tests.benchmarks.small_models import position_of, random_problem
from tests.engine.session.test_session import AT, answered, opened
from tests.example_counts import up_to
from tests.shipped import knowledge, models

ONE_STEP = mock.patch.object(lookahead, "MOST_LEAVES", 0)
"""Looks one step ahead, as at shipped size, on problems small enough for the optimum."""


def test_a_look_is_put_off_where_a_cheap_likely_repair_comes_first() -> None:
    """By hand: p = (.7, .15, .15), c = (1, 20, 20); the look costs 2 and tells 2 from 3.

    Look, then the right one of 2 and 3 where 1 fails: 2 + 1 + .3 x 20 = 9. Repair 1 first: 1 + .3 x (2 + 20) = 7.6.
    Never: 1 + .3 x 20 + .15 x 20 = 10.
    """
    cost = np.array([1.0, 20.0, 20.0])
    model = decision_model([(0,), (1,), (2,)], np.eye(3), cost, cost, np.full(3, 1e4))
    look = Look("look", (2.0,), np.array([[0.5, 1.0, 0.0], [0.5, 0.0, 1.0]]))
    position = Position(np.array([0.7, 0.15, 0.15]), (look,), np.ones(3, dtype=bool))
    assert next_step(model, position) == ("repair", 0)
    assert expected_minutes(model, position) == pytest.approx(7.6)
    with ONE_STEP:
        assert next_step(model, position) == ("repair", 0)
        assert expected_minutes(model, position) == pytest.approx(7.6)
        ends = replace(model, goes_on=np.zeros(3, dtype=bool))
        # Where the visit ends with the repair, the look is taken now or never.
        assert next_step(ends, position) == ("look", 0)


def test_a_look_better_taken_later_is_worth_nothing_yet() -> None:
    cost = np.array([1.0, 20.0, 20.0])
    model = decision_model([(0,), (1,), (2,)], np.eye(3), cost, cost, np.full(3, 1e4))
    look = Look("look", (2.0,), np.array([[0.5, 1.0, 0.0], [0.5, 0.0, 1.0]]))
    position = Position(np.array([0.7, 0.15, 0.15]), (look,), np.ones(3, dtype=bool))
    with ONE_STEP:
        worth = worths(model, position)[0]
    assert 0.0 <= worth.gain <= worth.minutes


def test_putting_off_brings_one_step_nearer_to_the_optimum() -> None:
    """Langseth and Jensen 2003: the comparison with the best action is what takes one step from 21.5 to 2.5 % there."""
    rng = np.random.default_rng(5)
    with_it, without = [], []
    for _ in range(40):
        problem = random_problem(rng, 5, 3)
        best = optimum(problem)
        model, position = position_of(problem)
        now_or_never = replace(model, goes_on=np.zeros(5, dtype=bool))
        with ONE_STEP:
            with_it.append(expected_minutes(model, position) / best)
            without.append(expected_minutes(now_or_never, position) / best)
    assert np.mean(with_it) < np.mean(without)
    assert min(with_it) >= 1.0 - 1e-9
    assert np.mean(with_it) < 1.03


@st.composite
def swap_problems(draw: st.DrawFn) -> Problem:
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    problem = random_problem(rng, draw(st.integers(2, 4)), draw(st.integers(1, 2)))
    return replace(problem, undo_cost=rng.uniform(0.0, 10.0, len(problem.repair_cost)))


@settings(deadline=None, max_examples=up_to(30))
@given(swap_problems())
def test_swapping_in_is_near_the_optimum_and_never_dearer_than_a_part_lost(problem: Problem) -> None:
    model, position = position_of(problem)
    best, ours = optimum(problem), expected_minutes(model, position)
    assert best - 1e-9 <= ours <= 1.05 * best
    assert problem.undo_cost is not None
    assert best <= optimum(replace(problem, undo_cost=problem.undo_cost + 20.0)) + 1e-9


@settings(deadline=None, max_examples=up_to(30))
@given(swap_problems())
def test_a_swap_in_that_may_stay_is_never_dearer_than_the_same_swap_as_a_mere_test(problem: Problem) -> None:
    """As a test the good part is fitted, shows whether it helps, comes out again, and is then fitted for good.

    By a good part that always cures its cause, so that once shown not to help it need not be tried again.
    """
    assert problem.undo_cost is not None
    cures = problem.cures.copy()
    cures[0, 0] = 1.0
    swapped = replace(problem, cures=cures)
    tested = replace(
        swapped,
        undo_cost=np.concatenate([[50.0], problem.undo_cost[1:]]),
        looks=(*problem.looks, np.stack([cures[0], 1.0 - cures[0]])),
        look_cost=np.append(problem.look_cost, problem.repair_cost[0] + problem.undo_cost[0]),
    )
    assert optimum(swapped) <= optimum(tested) + 1e-9


def test_a_pair_stays_a_pair_when_the_part_goes_back() -> None:
    """By hand: a swap that cures a in 4 of 5 leaves .5 x .2 of a alone, b as it is, and all of the pair."""
    cures = np.array([[0.8, 0.0]])
    lasting = decision_model([(0,), (1,), (0, 1), ()], cures, np.ones(1), np.ones(1), np.full(4, 9.0))
    swap = replace(lasting, swaps=np.ones(1, dtype=bool))
    belief = np.array([[0.5, 0.2, 0.2, 0.1]])
    assert after_failure(swap, belief, 0)[0] == pytest.approx([0.1, 0.2, 0.2, 0.1])
    assert after_failure(lasting, belief, 0)[0] == pytest.approx([0.1, 0.36, 0.04, 0.1])
    both = replace(swap, cures=np.array([[0.8, 0.5]]))
    assert after_failure(both, belief, 0)[0] == pytest.approx([0.1, 0.1, 0.2 * 0.6, 0.1])


def test_a_lead_from_the_van_that_did_not_help_leaves_pairs_as_they_were() -> None:
    model = models().tree("no-output")
    cures = knowledge().repairs["renew_cell_lead"].cures
    undone = after_failed_repair(model, model.prior, cures, undone=True)
    place = {h: k for k, h in enumerate(model.hypotheses)}
    alone, other = place[("cell_lead_bad",)], place[("salt_low",)]
    pair = next(k for h, k in place.items() if len(h) == 2 and "cell_lead_bad" in h)
    assert undone[pair] / undone[other] == pytest.approx(model.prior[pair] / model.prior[other])
    assert undone[alone] / undone[other] == pytest.approx(0.05 * model.prior[alone] / model.prior[other])


def test_a_part_that_goes_back_into_the_van_is_not_lost() -> None:
    """By hand, field: hands-on and switching as without, then 10 minutes for the swap back and no part."""
    known = knowledge()
    lead, role = known.repairs["renew_cell_lead"], known.roles["field"]
    tried = remedy_for(lead, role, known)
    lost = remedy_for(replace(lead, swap_back=None), role, known)
    assert tried.right == lost.right
    assert tried.wrong - tried.right == pytest.approx(10.0)
    assert lost.wrong - lost.right == pytest.approx(role.minutes["middling"] + role.minutes["cheap"])


def tried(kind: str) -> Session:
    """A technician at a pool without output who found the lead browned, and for whom a new one did not help."""
    session = opened("field", "no-output")
    session.record(answered("cell_bubbles", "none"))
    session.record(answered("tested_salt", 3500.0))
    if kind == "repaired":
        session.record(Event("repaired", AT, about="renew_cell_lead", value="done"))
        session.record(Event("verified", AT, about="renew_cell_lead", value="not_helped"))
    else:
        session.record(Event("already_tried", AT, about="renew_cell_lead"))
    return session


def test_with_the_old_part_back_everything_said_before_still_stands() -> None:
    """By Bayes: the answers, then a lead that would have cured in 95 of 100; one fitted before the call has stayed."""
    untried = opened("field", "no-output")
    untried.record(answered("cell_bubbles", "none"))
    untried.record(answered("tested_salt", 3500.0))
    cures = knowledge().repairs["renew_cell_lead"].cures
    swapped = tried("repaired")
    assert {"cell_bubbles", "tested_salt"} <= set(swapped.job.answers)
    assert np.abs(swapped.belief - after_failed_repair(untried.model, untried.belief, cures, True)).max() < 1e-12
    pair = next(k for k, h in enumerate(untried.model.hypotheses) if len(h) == 2 and "cell_lead_bad" in h)
    assert tried("already_tried").belief[pair] < swapped.belief[pair] / 5


def test_an_answer_given_twice_counts_once_and_a_corrected_one_alone() -> None:
    """The same instrument again is not new evidence (Jia and others, arXiv 2312.15357)."""
    once, twice, other = (opened("field", "low-salt") for _ in range(3))
    once.record(answered("tested_salt", 2600.0))
    for value in (2600.0, 2600.0):
        twice.record(answered("tested_salt", value))
    for value in (3900.0, 2600.0):
        other.record(answered("tested_salt", value))
    assert np.array_equal(once.belief, twice.belief)
    assert np.array_equal(once.belief, other.belief)

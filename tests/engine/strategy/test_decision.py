"""A fault-finding problem as arrays: laws that hold whatever the numbers, and small sums by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.strategy.decision import DecisionModel, Look, after_failure, decision_model
from engine.strategy.lookahead import Position, next_step
from engine.strategy.sequence import act
from tests.benchmarks.policies import expected_minutes
from tests.example_counts import up_to

SINGLES: list[tuple[int, ...]] = [(0,), (1,), (2,), ()]
PAIRS: list[tuple[int, ...]] = [(0, 1), (0, 2), (1, 2)]


def random_model(rng: np.random.Generator, pairs: list[tuple[int, ...]], swaps: bool) -> DecisionModel:
    """Three causes, any two of them, and a fault unknown; four repairs, each for one or more of the causes."""
    cures = rng.uniform(0.0, 1.0, (4, 3)) * (rng.random((4, 3)) < 0.6)
    right = rng.uniform(1.0, 20.0, 4)
    hand_on = rng.uniform(20.0, 90.0, 7)
    wrong = right + rng.uniform(0.0, 9.0, 4)
    return decision_model([*SINGLES, *pairs], cures, right, wrong, hand_on, swaps=np.full(4, swaps))


@settings(deadline=None, max_examples=up_to(40))
@given(st.integers(0, 2**32 - 1), st.booleans())
def test_a_pair_is_the_same_whichever_cause_is_named_first(seed: int, swaps: bool) -> None:
    """Two faults have no order, so no number may depend on the one in which they are written."""
    rows = np.random.default_rng(seed).dirichlet(np.ones(7), size=5)
    there, back = (random_model(np.random.default_rng(seed), [h[::way] for h in PAIRS], swaps) for way in (1, -1))
    assert there.by_remedy(np.eye(7)) == pytest.approx(back.by_remedy(np.eye(7)))
    assert there.knowing == pytest.approx(back.knowing)
    opened, plant = np.ones((5, 4), dtype=bool), np.zeros(5, dtype=np.intp)
    assert act(there, rows, opened, plant)[0] == pytest.approx(act(back, rows, opened, plant)[0])
    for repair in range(4):
        assert after_failure(there, rows, repair) == pytest.approx(after_failure(back, rows, repair))


def test_where_nothing_can_be_repaired_the_job_is_handed_on() -> None:
    """By hand: .75 x 40 + .25 x 80; whoever knows the fault does no better."""
    none = np.zeros(0)
    model = decision_model([(0,), ()], np.zeros((0, 1)), none, none, np.array([40.0, 80.0]))
    position = Position(np.array([0.75, 0.25]), (), np.zeros(0, dtype=bool))
    assert next_step(model, position) == ("hand_on", 0)
    assert expected_minutes(model, position) == pytest.approx(50.0)
    assert model.knowing.tolist() == [40.0, 80.0]


def test_the_repair_that_stands_for_a_cause_is_judged_by_its_minutes_from_the_cheapest_state() -> None:
    """.9 in 9 minutes against .5 in 4, where the supply is off already: .1 and .125 a minute."""
    wrong = np.array([[9.0, 12.0], [9.0, 4.0]])
    model = decision_model([(0,)], np.array([[0.9], [0.5]]), wrong, wrong, np.array([99.0]))
    assert model.choice.tolist() == [1]


@pytest.mark.parametrize("plant", [0, 1])
def test_a_look_that_opens_nothing_leaves_the_plant_as_it_is(plant: int) -> None:
    """By hand, two causes alike: a look for 1 tells which, and its repair takes 20, with the supply off 5 less."""
    cost = np.array([[20.0, 20.0], [15.0, 15.0]])
    model = decision_model([(0,), (1,)], np.eye(2), cost, cost, np.full(2, 1e3))
    look = Look("look", (1.0, 1.0), np.eye(2))
    position = Position(np.full(2, 0.5), (look,), np.ones(2, dtype=bool), plant)
    assert next_step(model, position) == ("look", 0)
    assert expected_minutes(model, position) == pytest.approx(1.0 + cost[plant, 0])
    seen = replace(position, belief=np.array([1.0, 0.0]), looks=())
    assert expected_minutes(model, seen) == pytest.approx(cost[plant, 0])

"""Scores and their intervals against scipy, and the laws that they keep."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression
from scipy.stats import binomtest

from engine.learning.scores import brier, isotonic, log_score, mean, reliability, share

GUESSES = st.lists(st.tuples(st.floats(0, 1), st.booleans()), min_size=1, max_size=60)


@given(of=st.integers(1, 500), part=st.floats(0, 1))
def test_a_share_has_wilsons_interval(of: int, part: float) -> None:
    hits = round(part * of)
    found, outside = share(hits, of), binomtest(hits, of).proportion_ci(method="wilson")
    assert (found.low, found.high) == pytest.approx((outside.low, outside.high), abs=1e-6)
    assert found.low <= found.value <= found.high


@given(GUESSES)
def test_what_came_true_is_fitted_as_scipy_does(guesses: list[tuple[float, bool]]) -> None:
    # With equal promises the order is free: scipy gets one value for each promise, weighted by how often it was made.
    promised = sorted({p for p, _ in guesses})
    weights = [sum(1 for p, _ in guesses if p == each) for each in promised]
    means = [sum(y for p, y in guesses if p == each) / w for each, w in zip(promised, weights, strict=True)]
    outside = dict(zip(promised, isotonic_regression(means, weights=weights).x, strict=True))
    found = isotonic([p for p, _ in guesses], [float(y) for _, y in guesses])
    assert found == pytest.approx([outside[p] for p, _ in guesses])


@given(GUESSES)
def test_a_brier_score_is_the_sum_of_its_parts(guesses: list[tuple[float, bool]]) -> None:
    """Dimitriadis, Gneiting & Jordan 2021: S = MCB - DSC + UNC, and neither part is below nothing."""
    found = reliability([p for p, _ in guesses], [y for _, y in guesses])
    assert found is not None
    assert found.miscalibration - found.discrimination + found.uncertainty == pytest.approx(found.brier, abs=1e-12)
    assert found.miscalibration >= -1e-12
    assert found.discrimination >= -1e-12
    assert sum(step.guesses for step in found.steps) == len(guesses)
    assert [step.came_true for step in found.steps] == sorted(step.came_true for step in found.steps)


def test_guesses_that_keep_what_they_promise_are_not_miscalibrated() -> None:
    drawn = np.random.default_rng(5)
    promised = drawn.uniform(0, 1, 4000)
    found = reliability(promised.tolist(), (drawn.uniform(0, 1, 4000) < promised).tolist())
    assert found is not None
    assert found.miscalibration < 0.01
    # Of uniform promises the variance, 1/12, is what they tell apart.
    assert found.discrimination == pytest.approx(1 / 12, abs=0.02)


def test_scores_of_a_belief_by_hand() -> None:
    # Brier 1950: the squared distance over all outcomes; the log score in bits.
    assert brier((0.7, 0.2, 0.1), 0) == pytest.approx(0.09 + 0.04 + 0.01)
    assert log_score((0.7, 0.25, 0.05), 1) == pytest.approx(2.0)
    assert log_score((1.0, 0.0), 1) == pytest.approx(math.log2(1e6))


def test_a_mean_of_one_has_no_bounds_and_of_none_no_value() -> None:
    assert (mean([2.0]).low, mean([2.0]).high) == (-math.inf, math.inf)
    assert math.isnan(mean([]).value)
    assert math.isnan(share(0, 0).value)

"""The engine's choices against the exact optimum of small problems that have all that real ones have.

Source: dynamic programming over everything that may be known, in tests/benchmarks/exact_in_full.py; that is held here
against the plainer one of tests/benchmarks/exact.py, and against a sum by hand.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.benchmarks.exact import optimum
from tests.benchmarks.exact_in_full import Faults, Looking, Repairing, Whole, least_cost, the_engines, whole_problem
from tests.benchmarks.small_models import random_problem

pytestmark = pytest.mark.no_cover  # thousands of choices through branches that other tests take too


def test_without_pairs_switching_and_silence_both_optima_are_one() -> None:
    for seed in range(4):
        plain = random_problem(np.random.default_rng(seed), 4, 2)
        order = [Faults({k}) for k in range(4)]
        whole = Whole(
            tuple(zip(order, map(float, plain.prior), strict=True)),
            tuple(
                Looking({f: tuple(map(float, table[:, k])) for k, f in enumerate(order)}, 1.0, (cost, cost), (0, 1))
                for table, cost in zip(plain.looks, map(float, plain.look_cost), strict=True)
            ),
            tuple(
                Repairing(tuple(map(float, row)), (cost, cost), (cost, cost))
                for row, cost in zip(plain.cures, map(float, plain.repair_cost), strict=True)
            ),
            dict.fromkeys(order, plain.hand_on),
        )
        assert least_cost(whole) == pytest.approx(optimum(plain), rel=1e-9)


def test_two_faults_of_which_each_repair_cures_one_by_hand() -> None:
    """Both there for certain, each repair 10 minutes where it helps and 12 where not, handing on 100.

    The first leaves the other one: 12 minutes. The second then brings it back: 10. 22 in all.
    """
    both = Faults({0, 1})
    repairs = tuple(Repairing(cures, (10.0, 10.0), (12.0, 12.0)) for cures in ((1.0, 0.0), (0.0, 1.0)))
    hand_on = {both: 100.0, Faults({0}): 100.0, Faults({1}): 100.0, Faults(): 100.0}
    problem = Whole(((both, 1.0),), (), repairs, hand_on)
    assert least_cost(problem) == pytest.approx(22.0)


def test_the_engine_is_near_the_optimum_with_all_of_it() -> None:
    rng = np.random.default_rng(11)
    gaps = []
    for _ in range(8):
        problem = whole_problem(rng, 4, 2)
        best, ours = least_cost(problem), least_cost(problem, the_engines(problem))
        assert ours >= best - 1e-9
        gaps.append(ours / best - 1.0)
    assert float(np.mean(gaps)) < 0.006

"""By simulation: the true shares come back, also where outcomes are known and checks asked in a biased way."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.learning.shares import interval, updated

Array = npt.NDArray[np.float64]
PRESENT = np.array([0.5, 0.3, 0.15, 0.05])
TRUE = np.array([0.3, 0.25, 0.35, 0.1])
# P(answer | cause) of two checks with three answers each: invented, telling enough that an answer says something.
CHECKS = np.array(
    [
        [[0.8, 0.15, 0.05], [0.2, 0.7, 0.1], [0.1, 0.2, 0.7], [0.34, 0.33, 0.33]],
        [[0.6, 0.3, 0.1], [0.1, 0.3, 0.6], [0.5, 0.4, 0.1], [0.2, 0.2, 0.6]],
    ]
)


def drawn_jobs(count: int, seed: int) -> tuple[Array, list[int | None], npt.NDArray[np.intp]]:
    """Jobs of the true shares: likelihoods, told and true causes.

    The second check is asked only where the first raised a suspicion, and the outcome is told mostly where the answers
    point at the first cause, which is mended at once.
    """
    drawn = np.random.default_rng(seed)
    causes = drawn.choice(len(TRUE), size=count, p=TRUE)
    likelihoods, told = np.ones((count, len(TRUE))), list[int | None]()
    for job, cause in enumerate(causes):
        first = drawn.choice(3, p=CHECKS[0][cause])
        likelihoods[job] *= CHECKS[0][:, first]
        second = None
        if first != 0:
            second = drawn.choice(3, p=CHECKS[1][cause])
            likelihoods[job] *= CHECKS[1][:, second]
        chance = 0.9 if first == 0 else 0.4 if second == 2 else 0.15
        told.append(int(cause) if drawn.uniform() < chance else None)
    return likelihoods, told, causes


def test_the_true_shares_come_back_from_biased_jobs() -> None:
    likelihoods, told, _ = drawn_jobs(6000, 1)
    shares, _ = updated(PRESENT, likelihoods, told, 50.0)
    assert shares == pytest.approx(TRUE, abs=0.03)
    # What is told alone would be far off: the selection is biased indeed.
    known = np.bincount([cause for cause in told if cause is not None], minlength=4) / sum(c is not None for c in told)
    assert abs(known[0] - TRUE[0]) > 0.1


def test_intervals_hold_the_truth_about_as_often_as_they_say() -> None:
    """95 of 100 are promised; 200 shops of 800 jobs hold all four shares in at least 92 of 100 (the prior pulls)."""
    held = 0
    for seed in range(50):
        likelihoods, told, _ = drawn_jobs(800, 100 + seed)
        shares, counts = updated(PRESENT, likelihoods, told, 5.0)
        found = [interval(float(shares[k]), counts[:, k], 5.0) for k in range(4)]
        held += sum(one.low <= true <= one.high for one, true in zip(found, TRUE, strict=True))
    assert held / 200 >= 0.9


@given(strength=st.floats(1, 1000), jobs=st.integers(0, 50))
def test_told_jobs_alone_give_the_dirichlet_mean(strength: float, jobs: int) -> None:
    """Jobs whose cause is told: (strength x present + count) / (strength + jobs), the conjugate update by hand."""
    told: list[int | None] = [job % 3 for job in range(jobs)]
    shares, _ = updated(PRESENT, np.ones((jobs, 4)), told, strength)
    counts = np.bincount(np.array([job % 3 for job in range(jobs)], dtype=np.intp), minlength=4)
    assert shares == pytest.approx((strength * PRESENT + counts) / (strength + jobs))


def test_jobs_that_tell_nothing_change_nothing_and_narrow_nothing() -> None:
    shares, counts = updated(PRESENT, np.ones((500, 4)), [None] * 500, 50.0)
    assert shares == pytest.approx(PRESENT)
    alone, with_jobs = interval(0.5, np.zeros(0), 50.0), interval(0.5, counts[:, 0], 50.0)
    assert (with_jobs.low, with_jobs.high) == pytest.approx((alone.low, alone.high))


def test_an_interval_of_told_jobs_is_that_of_a_share_in_log_odds() -> None:
    """n told jobs have the information n p (1-p) on log odds: by hand, with 30 of 100 and no prior to speak of."""
    found = interval(0.3, np.array([1.0] * 30 + [0.0] * 70), 1e-9)
    half = 1.959964 / np.sqrt(100 * 0.3 * 0.7)
    odds = np.log(0.3 / 0.7)
    by_hand = [1 / (1 + np.exp(-(odds + side * half))) for side in (-1, 1)]
    assert (found.low, found.high) == pytest.approx(by_hand, rel=1e-6)

"""The beliefs of many jobs at once against each by itself."""

from __future__ import annotations

from unittest import mock

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.inference import many
from engine.inference.belief import posterior
from engine.inference.many import posteriors
from tests.benchmarks.oracle import random_evidence
from tests.example_counts import up_to
from tests.shipped import models


@settings(deadline=None, max_examples=up_to(25))
@given(st.integers(0, 2**32 - 1), st.sampled_from(sorted(models().knowledge.trees)), st.sampled_from([1, 500, 10**6]))
def test_many_jobs_at_once_are_believed_as_each_by_itself(seed: int, tree: str, together: int) -> None:
    """Any evidence, some jobs with the same, one with none; however few are taken at a time."""
    rng, model = np.random.default_rng(seed), models().tree(tree)
    jobs = [random_evidence(rng) for _ in range(6)]
    jobs = [[], *jobs, jobs[0]]
    with mock.patch.object(many, "TOGETHER", together):
        found = posteriors(model, jobs)
    assert np.abs(found - np.array([posterior(model, job) for job in jobs])).max() < 1e-12


def test_no_jobs_have_no_beliefs() -> None:
    model = models().tree("cold-water")
    assert posteriors(model, []).shape == (0, len(model.prior))

"""Our posterior against pyAgrum's, on a network in which pyAgrum does the combining, not our own tables.

Source of the expected numbers: pyAgrum's exact inference, at test time; the network is in tests/benchmarks/oracle.py.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.inference.belief import Evidence, TreeModel, posterior
from tests.benchmarks import plain_knowledge as plain
from tests.benchmarks.oracle import OBSERVABLES, agrum_posterior, network
from tests.example_counts import up_to
from tests.shipped import knowledge, models

pytestmark = pytest.mark.no_cover  # thousands of runs through branches that other tests take too: counting them is dear

KNOWLEDGE = knowledge()


@st.composite
def evidence_sets(draw: st.DrawFn) -> tuple[str, list[Evidence]]:
    tree = draw(st.sampled_from(sorted(KNOWLEDGE.trees)))
    names = draw(st.lists(st.sampled_from(sorted(OBSERVABLES)), min_size=1, max_size=7, unique=True))
    found = []
    for name in names:
        size = len(OBSERVABLES[name].answers)
        can_be = [k for k, share in enumerate(OBSERVABLES[name].usual) if share]
        if draw(st.booleans()):
            hard = draw(st.sampled_from(can_be))
            weights = tuple(float(k == hard) for k in range(size))
        else:
            raw = draw(st.lists(st.floats(0.01, 1.0), min_size=size, max_size=size))
            weights = tuple(value / sum(raw) for value in raw)
        found.append(Evidence(name, weights, (name,)))
    return tree, found


# A thousand sets are M7 of tests/benchmarks/run.py; here a fifth, other ones in each run outside of `.ci/run`.
@settings(max_examples=up_to(200), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(evidence_sets())
def test_posterior_equals_pyagrum(case: tuple[str, list[Evidence]]) -> None:
    tree, found = case
    ours, theirs = posterior(models().tree(tree), found), agrum_posterior(network(tree), found)
    assert np.abs(ours - theirs).max() <= 1e-12


@pytest.mark.parametrize("tree", sorted(KNOWLEDGE.trees))
def test_the_prior_is_that_of_the_yaml(tree: str) -> None:
    """Against the tree's own lines, read and added up by other code: singles, named pairs, all other pairs."""
    model, expected = models().tree(tree), plain.prior(tree)
    ours = {frozenset(h): float(p) for h, p in zip(model.hypotheses, model.prior, strict=True)}
    assert ours == pytest.approx(expected, abs=1e-15)
    assert sum(expected.values()) == pytest.approx(1.0)


def test_virtual_evidence_of_pearl() -> None:
    """Pearl 1988, chapter 2, numbers from memory: a 4:1 witness moves P(burglary) from 1e-4 to 3.73684e-4."""
    prior, table = np.array([1e-4, 1 - 1e-4]), np.array([[0.05, 0.99], [0.95, 0.01]])
    model = TreeModel("burglary", (("burglary",), ()), prior, {"alarm": table}, {})
    for weights in ((1.0, 4.0), (0.2, 0.8)):
        belief = posterior(model, [Evidence("alarm", weights, ("alarm",))])
        assert belief[0] == pytest.approx(3.73684e-4, rel=1e-5)
    assert posterior(model, [Evidence("alarm", (0.0, 1.0), ("alarm",))])[0] == pytest.approx(0.0094115, abs=5e-8)

"""Our posterior against pyAgrum's, on a network in which pyAgrum does the combining, not our own tables.

Source of the expected numbers: pyAgrum's exact inference, at test time; the network is in tests/benchmarks/oracle.py.
"""

from __future__ import annotations

import numpy as np
import pyagrum as gum
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.belief import Evidence, TreeModel, posterior
from tests.benchmarks.oracle import OBSERVABLES, agrum_posterior, network
from tests.shipped import knowledge, models

KNOWLEDGE = knowledge()


@st.composite
def evidence_sets(draw: st.DrawFn) -> tuple[str, list[Evidence]]:
    tree = draw(st.sampled_from(sorted(KNOWLEDGE.trees)))
    names = draw(st.lists(st.sampled_from(sorted(OBSERVABLES)), min_size=1, max_size=7, unique=True))
    found = []
    for name in names:
        size = len(OBSERVABLES[name].answers)
        if draw(st.booleans()):
            hard = draw(st.integers(0, size - 1))
            weights = tuple(float(k == hard) for k in range(size))
        else:
            raw = draw(st.lists(st.floats(0.01, 1.0), min_size=size, max_size=size))
            weights = tuple(value / sum(raw) for value in raw)
        found.append(Evidence(name, weights, (name,)))
    return tree, found


@settings(max_examples=1000, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(evidence_sets())
def test_posterior_equals_pyagrum(case: tuple[str, list[Evidence]]) -> None:
    tree, found = case
    ours, theirs = posterior(models().tree(tree), found), agrum_posterior(network(tree), found)
    assert np.abs(ours - theirs).max() <= 1e-12


def test_virtual_evidence_of_pearl() -> None:
    """Pearl 1988, chapter 2, numbers from memory: a 4:1 witness moves P(burglary) from 1e-4 to 3.73684e-4."""
    prior, table = np.array([1e-4, 1 - 1e-4]), np.array([[0.05, 0.99], [0.95, 0.01]])
    model = TreeModel("burglary", (("burglary",), ()), prior, {"alarm": table}, {})
    for weights in ((1.0, 4.0), (0.2, 0.8)):
        belief = posterior(model, [Evidence("alarm", weights, ("alarm",))])
        assert belief[0] == pytest.approx(3.73684e-4, rel=1e-5)
    assert posterior(model, [Evidence("alarm", (0.0, 1.0), ("alarm",))])[0] == pytest.approx(0.0094115, abs=5e-8)


BURGLARY = [
    ("B", (), [0.999, 0.001]),
    ("E", (), [0.998, 0.002]),
    ("A", ("B", "E"), {(1, 1): 0.95, (1, 0): 0.94, (0, 1): 0.29, (0, 0): 0.001}),
    ("J", ("A",), {(1,): 0.90, (0,): 0.05}),
    ("M", ("A",), {(1,): 0.70, (0,): 0.01}),
]
ASIA = [
    ("asia", (), [0.99, 0.01]),
    ("smoke", (), [0.5, 0.5]),
    ("tub", ("asia",), {(0,): 0.01, (1,): 0.05}),
    ("lung", ("smoke",), {(0,): 0.01, (1,): 0.10}),
    ("bronc", ("smoke",), {(0,): 0.3, (1,): 0.6}),
    ("either", ("tub", "lung"), {(0, 0): 0.0, (0, 1): 1.0, (1, 0): 1.0, (1, 1): 1.0}),
    ("xray", ("either",), {(0,): 0.05, (1,): 0.98}),
    ("dysp", ("either", "bronc"), {(0, 0): 0.1, (1, 0): 0.7, (0, 1): 0.8, (1, 1): 0.9}),
]


def _textbook(nodes: list[tuple[str, tuple[str, ...], object]]) -> gum.BayesNet:
    net = gum.BayesNet()
    for name, parents, table in nodes:
        net.add(gum.LabelizedVariable(name, "", 2))
        for parent in parents:
            net.addArc(parent, name)
        if isinstance(table, list):
            net.cpt(name).fillWith(table)
        elif isinstance(table, dict):
            for values, chance in table.items():
                net.cpt(name)[dict(zip(parents, values, strict=True))] = [1.0 - chance, chance]
    return net


@pytest.mark.parametrize(
    ("nodes", "evidence", "expected"),
    [
        (BURGLARY, {"J": 1, "M": 1}, {"B": 0.284172, "A": 0.760692}),
        (ASIA, {}, {"tub": 0.010400, "lung": 0.055000, "xray": 0.110290, "dysp": 0.435971}),
        (ASIA, {"asia": 1, "dysp": 1}, {"tub": 0.087751, "lung": 0.099525, "bronc": 0.811402, "smoke": 0.625920}),
        (ASIA, {"asia": 1, "dysp": 1, "xray": 1}, {"tub": 0.391712, "lung": 0.444271, "either": 0.813769}),
    ],
)
def test_the_oracle_itself_gives_the_textbooks_numbers(
    nodes: list[tuple[str, tuple[str, ...], object]], evidence: dict[str, int], expected: dict[str, float]
) -> None:
    """Networks that our belief cannot express, as a check of the oracle: the burglary network (Pearl; from memory) and
    Asia (Lauritzen and Spiegelhalter 1988, tables from memory)."""
    engine = gum.LazyPropagation(_textbook(nodes))
    engine.setEvidence(evidence)
    engine.makeInference()
    for name, chance in expected.items():
        assert engine.posterior(name)[1] == pytest.approx(chance, abs=1e-6)

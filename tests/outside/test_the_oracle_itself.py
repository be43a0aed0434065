"""The library that our belief is checked against, checked on published networks that our belief cannot express."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import pyagrum as gum
import pytest

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
ALARM = Path(__file__).parent / "alarm.bif"


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
def test_burglary_and_asia(
    nodes: list[tuple[str, tuple[str, ...], object]], evidence: dict[str, int], expected: dict[str, float]
) -> None:
    """The burglary network (Pearl; from memory) and Asia (Lauritzen and Spiegelhalter 1988, tables from memory)."""
    engine = gum.LazyPropagation(_textbook(nodes))
    engine.setEvidence(evidence)
    engine.makeInference()
    for name, chance in expected.items():
        assert engine.posterior(name)[1] == pytest.approx(chance, abs=1e-6)


@pytest.mark.parametrize(
    ("evidence", "target", "expected"),
    [
        ({"HRBP": "HIGH", "BP": "LOW"}, "LVFAILURE", {"TRUE": 0.088371}),
        ({"CVP": "LOW", "BP": "LOW"}, "HYPOVOLEMIA", {"TRUE": 0.151690}),
        ({"PRESS": "HIGH"}, "INTUBATION", {"NORMAL": 0.885778, "ESOPHAGEAL": 0.040677, "ONESIDED": 0.073545}),
        ({"PRESS": "HIGH", "MINVOL": "LOW"}, "KINKEDTUBE", {"TRUE": 0.021371}),
    ],
)
def test_alarm(evidence: dict[str, str], target: str, expected: dict[str, float]) -> None:
    """The ALARM network (Beinlich and others 1989; the published file). Expected numbers: pgmpy 1.1.2."""
    net = gum.loadBN(str(ALARM))
    assert (net.size(), net.sizeArcs()) == (37, 46)
    engine = gum.LazyPropagation(net)
    engine.setEvidence(evidence)
    engine.makeInference()
    labels = net.variable(target).labels()
    found = {label: engine.posterior(target)[labels.index(label)] for label in expected}
    assert found == pytest.approx(expected, abs=1e-6)


COMPONENTS = ("M1", "M2", "M3", "A1", "A2")
FAULTY = 0.01
VALUES = 16
"""A faulty component may give any of so many values, each as likely."""


@cache
def _polybox() -> gum.BayesNet:
    """Three products X = 3 x 2, Y = 2 x 3, Z = 2 x 3 and sums F = X + Y, G = Y + Z, each by a part that may fail."""
    net = gum.BayesNet()
    for part in COMPONENTS:
        net.add(gum.LabelizedVariable(part, "", 2))
        net.cpt(part).fillWith([1.0 - FAULTY, FAULTY])
    any_value = [1.0 / VALUES] * VALUES
    for part, product in (("M1", "X"), ("M2", "Y"), ("M3", "Z")):
        net.add(gum.LabelizedVariable(product, "", VALUES))
        net.addArc(part, product)
        net.cpt(product)[{part: 0}] = [float(v == 6) for v in range(VALUES)]
        net.cpt(product)[{part: 1}] = any_value
    most = 2 * VALUES - 1
    for part, total, left, right in (("A1", "F", "X", "Y"), ("A2", "G", "Y", "Z")):
        net.add(gum.LabelizedVariable(total, "", most))
        for parent in (part, left, right):
            net.addArc(parent, total)
        for a, b in itertools.product(range(VALUES), repeat=2):
            net.cpt(total)[{part: 0, left: a, right: b}] = [float(v == a + b) for v in range(most)]
            net.cpt(total)[{part: 1, left: a, right: b}] = any_value + [0.0] * (most - VALUES)
    return net


def _candidates(evidence: Mapping[str, int]) -> dict[frozenset[str], float]:
    """P(exactly these components are faulty | evidence), over all sets of them."""
    engine = gum.LazyPropagation(_polybox())
    engine.addJointTarget(set(COMPONENTS))
    engine.setEvidence(dict(evidence))
    engine.makeInference()
    joint = engine.jointPosterior(set(COMPONENTS))
    return {
        frozenset(c for c, bad in zip(COMPONENTS, state, strict=True) if bad): float(
            joint[dict(zip(COMPONENTS, state, strict=True))]
        )
        for state in itertools.product((0, 1), repeat=5)
    }


def _entropy(candidates: Mapping[frozenset[str], float]) -> float:
    return -sum(p * math.log2(p) for p in candidates.values() if p > 0)


def test_polybox_of_de_kleer_and_williams() -> None:
    """Their 1987 circuit: F is 10 where 12 is expected, G is 12. A1 alone and M1 alone .496225 each; X settles it.

    By enumeration of all 32 sets (recomputed, not the paper's own figures). There three wrong products may
    be any sixteen values each; here they must add up, which moves a share in its sixth digit, an entropy in its fourth.
    """
    seen = {"F": 10, "G": 12}
    before = _candidates(seen)
    assert before[frozenset({"A1"})] == pytest.approx(0.496225, abs=2e-6)
    assert before[frozenset({"M1"})] == pytest.approx(0.496225, abs=2e-6)
    assert _entropy(before) == pytest.approx(1.0714, abs=2e-4)
    assert _candidates({**seen, "X": 4})[frozenset({"M1"})] == pytest.approx(0.997473, abs=2e-6)
    assert _candidates({**seen, "X": 6})[frozenset({"A1"})] == pytest.approx(0.996199, abs=2e-6)


@pytest.mark.parametrize(("probe", "expected"), [("X", 0.0383), ("Y", 1.0635), ("Z", 1.0670)])
def test_which_point_of_the_polybox_tells_most(probe: str, expected: float) -> None:
    """Expected entropy over the candidates after a probe, by the same enumeration: X tells nearly all."""
    seen = {"F": 10, "G": 12}
    engine = gum.LazyPropagation(_polybox())
    engine.setEvidence(seen)
    engine.makeInference()
    chances = engine.posterior(probe).tolist()
    after = sum(p * _entropy(_candidates({**seen, probe: v})) for v, p in enumerate(chances) if p > 1e-12)
    assert after == pytest.approx(expected, abs=2e-4)


def test_minimal_candidates_of_the_polybox() -> None:
    """Printed in de Kleer and Williams 1987: {A1}, {M1}, {A2, M2}, {M2, M3}; no smaller set explains F = 10, G = 12."""
    possible = {c for c, p in _candidates({"F": 10, "G": 12}).items() if p > 0}
    minimal = {c for c in possible if not any(other < c for other in possible)}
    assert minimal == {frozenset(c) for c in ({"A1"}, {"M1"}, {"A2", "M2"}, {"M2", "M3"})}

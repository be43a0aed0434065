"""Our posterior against pyAgrum's, on a network in which pyAgrum does the combining, not our own tables.

Each check is a node under two cause-slot nodes and a deterministic node that shows the more striking of their answers
(noisy-MAX, Diez 1993, from memory). Source of the expected numbers: pyAgrum's exact inference, at test time.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib.resources import files

import numpy as np
import pyagrum as gum
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.belief import Evidence, TreeModel, compile_tree, posterior
from engine.loading.treefile import load_knowledge
from engine.model import Cause, Check, Finding, Knowledge, Tree

KNOWLEDGE = load_knowledge(files("faults"))
MODELS = {name: compile_tree(KNOWLEDGE, tree) for name, tree in KNOWLEDGE.trees.items()}
OBSERVABLES: dict[str, Check | Finding] = {**KNOWLEDGE.checks, **KNOWLEDGE.findings}


def spread(item: Check | Finding, said: dict[str, float]) -> list[float]:
    """A single cause's answers, worked out apart from the engine: the unsaid share the rest as in `usual`."""
    unsaid = sum(item.usual[a.id] for a in item.answers if a.id not in said)
    rest = 1.0 - sum(said.values())
    return [said[a.id] if a.id in said else rest * item.usual[a.id] / unsaid for a in item.answers]


def answers_of(item: Check | Finding, cause: Cause, tree: Tree) -> list[float] | None:
    said = tree.here.get(cause.id, {}).get(item.id, cause.shows.get(item.id))
    return None if said is None else spread(item, dict(said))


def factors_of(item: Check | Finding, cause: Cause) -> list[float]:
    said = cause.likelier.get(item.id, {})
    mean = sum(item.usual[a.id] * said.get(a.id, 1.0) for a in item.answers)
    return [said.get(a.id, 1.0) / mean for a in item.answers]


def network(knowledge: Knowledge, tree: Tree, model: TreeModel, items: Sequence[str]) -> gum.BayesNet:
    """Hypothesis -> for each check a first and a second slot -> the answer, the more striking of the two.

    Where only one cause of a pair speaks, the other's slot is silent (its least striking answer, which never wins).
    Context weighs the joint answer, as a virtual finding on a node of its own beside it.
    """
    net = gum.BayesNet()
    count = len(model.hypotheses)
    net.add(gum.LabelizedVariable("hypothesis", "", count))
    net.cpt("hypothesis").fillWith([float(p) for p in model.prior])
    for name in items:
        item = OBSERVABLES[name]
        size = len(item.answers)
        usual = [item.usual[a.id] for a in item.answers]
        for slot in (0, 1):
            net.add(gum.LabelizedVariable(f"{name}_{slot}", "", size))
            net.addArc("hypothesis", f"{name}_{slot}")
        net.add(gum.LabelizedVariable(name, "", size))
        for slot in (0, 1):
            net.addArc(f"{name}_{slot}", name)
        for index, hypothesis in enumerate(model.hypotheses):
            tables = [t for c in hypothesis if (t := answers_of(item, knowledge.causes[c], tree)) is not None]
            if not hypothesis:
                tables = [[0.5 * u + 0.5 / size for u in usual]]
            silent = [1.0] + [0.0] * (size - 1)
            slots = (tables or [usual]) + [silent] * (2 - len(tables or [usual]))
            for slot in (0, 1):
                net.cpt(f"{name}_{slot}")[{"hypothesis": index}] = slots[slot]
        for first in range(size):
            for second in range(size):
                net.cpt(name)[{f"{name}_0": first, f"{name}_1": second}] = [
                    float(k == max(first, second)) for k in range(size)
                ]
        net.add(gum.LabelizedVariable(f"{name}_context", "", 2))
        net.addArc("hypothesis", f"{name}_context")
        net.addArc(name, f"{name}_context")
        for index, hypothesis in enumerate(model.hypotheses):
            weights = np.prod([factors_of(item, knowledge.causes[c]) for c in hypothesis] or [[1.0] * size], axis=0)
            shown = _shown(net, name, index, size)
            rows = model.given.get(name, range(size))
            weights = weights / (weights * shown).sum()
            given_share = sum(float(weights[k] * shown[k]) for k in rows)
            top = 1e6
            for k in range(size):
                likely = float(weights[k]) / (given_share if k in rows else 1.0) / top
                net.cpt(f"{name}_context")[{"hypothesis": index, name: k}] = [1.0 - likely, likely]
    return net


def _shown(net: gum.BayesNet, name: str, index: int, size: int) -> np.ndarray:
    first = np.array(net.cpt(f"{name}_0")[{"hypothesis": index}])
    second = np.array(net.cpt(f"{name}_1")[{"hypothesis": index}])
    shown = np.zeros(size)
    for a in range(size):
        for b in range(size):
            shown[max(a, b)] += first[a] * second[b]
    return shown


def agrum_posterior(net: gum.BayesNet, found: Sequence[Evidence]) -> np.ndarray:
    engine = gum.VariableElimination(net)
    evidence: dict[str, object] = {}
    for item in found:
        evidence[item.id] = list(item.weights)
        evidence[f"{item.id}_context"] = 1
    engine.setEvidence(evidence)
    engine.makeInference()
    return np.array(engine.posterior("hypothesis").tolist())


@st.composite
def evidence_sets(draw: st.DrawFn) -> tuple[str, list[Evidence]]:
    tree = draw(st.sampled_from(sorted(MODELS)))
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


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(evidence_sets())
def test_posterior_equals_pyagrum(case: tuple[str, list[Evidence]]) -> None:
    tree, found = case
    model = MODELS[tree]
    net = network(KNOWLEDGE, KNOWLEDGE.trees[tree], model, [e.id for e in found])
    ours, theirs = posterior(model, found), agrum_posterior(net, found)
    assert np.abs(ours - theirs).max() <= 1e-12


def test_virtual_evidence_of_pearl() -> None:
    """Pearl 1988, chapter 2, numbers from memory: a 4:1 witness moves P(burglary) from 1e-4 to 3.73684e-4."""
    prior, table = np.array([1e-4, 1 - 1e-4]), np.array([[0.05, 0.99], [0.95, 0.01]])
    model = TreeModel("burglary", (("burglary",), ()), prior, {"alarm": table}, {})
    for weights in ((1.0, 4.0), (0.2, 0.8)):
        belief = posterior(model, [Evidence("alarm", weights, ("alarm",))])
        assert belief[0] == pytest.approx(3.73684e-4, rel=1e-5)
    assert posterior(model, [Evidence("alarm", (0.0, 1.0), ("alarm",))])[0] == pytest.approx(0.0094115, abs=5e-8)

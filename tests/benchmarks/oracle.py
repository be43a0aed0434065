"""The belief's network for pyAgrum, in which pyAgrum does the combining, not our own tables.

Each check is a node under two cause-slot nodes and a deterministic node that shows the more striking of their answers
(noisy-MAX, Diez 1993, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
import pyagrum as gum

from engine.belief import Evidence, TreeModel
from engine.model import Cause, Check, Finding, Tree
from tests.shipped import knowledge, models

__all__ = ["OBSERVABLES", "agrum_posterior", "network", "random_evidence"]

KNOWLEDGE = knowledge()
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


@cache
def network(name_of_tree: str) -> gum.BayesNet:
    """Hypothesis -> for each check a first and a second slot -> the answer, the more striking of the two.

    Where only one cause of a pair speaks, the other's slot is silent (its least striking answer, which never wins).
    Context weighs the joint answer, as a virtual finding on a node of its own beside it.
    """
    knowledge, model = KNOWLEDGE, models().tree(name_of_tree)
    tree = knowledge.trees[name_of_tree]
    net = gum.BayesNet()
    count = len(model.hypotheses)
    net.add(gum.LabelizedVariable("hypothesis", "", count))
    net.cpt("hypothesis").fillWith([float(p) for p in model.prior])
    for name, item in OBSERVABLES.items():
        _add(net, name, item, tree, model)
    return net


def _add(net: gum.BayesNet, name: str, item: Check | Finding, tree: Tree, model: TreeModel) -> None:
    size = len(item.answers)
    usual = [item.usual[a.id] for a in item.answers]
    for slot in (0, 1):
        net.add(gum.LabelizedVariable(f"{name}_{slot}", "", size))
        net.addArc("hypothesis", f"{name}_{slot}")
    net.add(gum.LabelizedVariable(name, "", size))
    for slot in (0, 1):
        net.addArc(f"{name}_{slot}", name)
    for index, hypothesis in enumerate(model.hypotheses):
        tables = [t for c in hypothesis if (t := answers_of(item, KNOWLEDGE.causes[c], tree)) is not None]
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
        weights = np.prod([factors_of(item, KNOWLEDGE.causes[c]) for c in hypothesis] or [[1.0] * size], axis=0)
        shown = _shown(net, name, index, size)
        rows = model.given.get(name, range(size))
        weights = weights / (weights * shown).sum()
        given_share = sum(float(weights[k] * shown[k]) for k in rows)
        top = 1e6
        for k in range(size):
            likely = float(weights[k]) / (given_share if k in rows else 1.0) / top
            net.cpt(f"{name}_context")[{"hypothesis": index, name: k}] = [1.0 - likely, likely]


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


def random_evidence(rng: np.random.Generator, most: int = 7) -> list[Evidence]:
    """One to `most` findings of all kinds, half of them hard, half soft."""
    found = []
    for name in rng.choice(sorted(OBSERVABLES), size=int(rng.integers(1, most + 1)), replace=False):
        size = len(OBSERVABLES[name].answers)
        weights = rng.dirichlet(np.ones(size)) if rng.random() < 0.5 else np.eye(size)[rng.integers(size)]
        found.append(Evidence(str(name), tuple(map(float, weights)), (str(name),)))
    return found

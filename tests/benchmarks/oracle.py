"""The belief's network for pyAgrum, in which pyAgrum does the combining, from numbers that come straight from the YAML.

Neither the loader nor the engine's prior and tables have a part in it. Each check is a node under two cause-slot nodes
and a deterministic node that shows the more striking of their answers (noisy-MAX, Diez 1993, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cache
from typing import cast

import numpy as np
import pyagrum as gum

from engine.inference.belief import Evidence
from tests.benchmarks import plain_knowledge as plain
from tests.shipped import models

OBSERVABLES = plain.items()


@cache
def network(name_of_tree: str) -> gum.BayesNet:
    """Hypothesis -> for each check a first and a second slot -> the answer, the more striking of the two.

    Where only one cause of a pair speaks, the other's slot is silent (its least striking answer, which never wins).
    Context weighs the joint answer, as a virtual finding on a node of its own beside it.
    """
    model, prior = models().tree(name_of_tree), plain.prior(name_of_tree)
    # The engine's order of hypotheses, so that answers can be compared; the numbers are not the engine's.
    hypotheses = [frozenset(h) for h in model.hypotheses]
    assert set(hypotheses) == set(prior), name_of_tree
    net = gum.BayesNet()
    net.add(gum.LabelizedVariable("hypothesis", "", len(hypotheses)))
    net.cpt("hypothesis").fillWith([prior[h] for h in hypotheses])
    for name, item in plain.items().items():
        _add(net, name, item, name_of_tree, model.hypotheses)
    return net


def _add(net: gum.BayesNet, name: str, item: plain.Item, tree: str, hypotheses: Sequence[tuple[str, ...]]) -> None:
    """The nodes of a check. In pyAgrum's tables a node's own values run fastest, then its parents' in their order."""
    size = len(item.answers)
    for slot in (0, 1):
        net.add(gum.LabelizedVariable(f"{name}_{slot}", "", size))
        net.addArc("hypothesis", f"{name}_{slot}")
    net.add(gum.LabelizedVariable(name, "", size))
    for slot in (0, 1):
        net.addArc(f"{name}_{slot}", name)
    silent = [1.0] + [0.0] * (size - 1)
    slots = np.zeros((2, len(hypotheses), size))
    shows = {cause: plain.shows(tree, cause, name) for cause in set().union(*hypotheses)}
    spoken_of = any(shows[cause] or name in _likelier(cause) for cause in shows) and name != "danger_now"
    for index, hypothesis in enumerate(hypotheses):
        tables = [table for cause in hypothesis if (table := shows[cause]) is not None]
        if not hypothesis:
            tables = [[0.5 * u + 0.5 / size for u in item.usual] if spoken_of else item.usual]
        slots[:, index] = (tables or [item.usual]) + [silent] * (2 - len(tables or [item.usual]))
    for slot in (0, 1):
        net.cpt(f"{name}_{slot}").fillWith(slots[slot].ravel().tolist())
    more_striking = [float(k == max(a, b)) for b in range(size) for a in range(size) for k in range(size)]
    net.cpt(name).fillWith(more_striking)
    _add_context(net, name, item, tree, hypotheses, _shown(*slots))


def _likelier(cause: str) -> Mapping[str, object]:
    return cast("Mapping[str, object]", plain.causes()[cause].get("likelier") or {})


def _add_context(
    net: gum.BayesNet,
    name: str,
    item: plain.Item,
    tree: str,
    hypotheses: Sequence[tuple[str, ...]],
    shown: np.ndarray,
) -> None:
    """A node beside the answer that weighs it by context and by what the complaint gives already."""
    size = len(item.answers)
    given = cast("Mapping[str, Sequence[str]]", plain.tree(tree).get("given") or {})
    rows = [item.answers.index(a) for a in given.get(name, item.answers)]
    net.add(gum.LabelizedVariable(f"{name}_context", "", 2))
    net.addArc("hypothesis", f"{name}_context")
    net.addArc(name, f"{name}_context")
    likely = np.zeros((size, len(hypotheses)))
    factors = {cause: np.array(plain.factors(cause, name)) for cause in set().union(*hypotheses)}
    for index, hypothesis in enumerate(hypotheses):
        weights = math.prod((factors[cause] for cause in hypothesis), start=np.ones(size))
        weights = weights / (weights * shown[index]).sum()
        given_share = float((weights[rows] * shown[index][rows]).sum())
        likely[:, index] = weights
        likely[rows, index] /= given_share
    top = 1e6
    net.cpt(f"{name}_context").fillWith(np.stack([1.0 - likely / top, likely / top], axis=-1).ravel().tolist())


def _shown(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """How often each answer shows under each hypothesis: the more striking of the two slots'."""
    shown = np.zeros_like(first)
    for a in range(first.shape[1]):
        for b in range(first.shape[1]):
            shown[:, max(a, b)] += first[:, a] * second[:, b]
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

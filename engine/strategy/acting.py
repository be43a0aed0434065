"""Acting from a belief with every repair still open: what it costs, what comes first, and what another first costs."""

from __future__ import annotations

import numpy as np

from engine.inference.belief import Array, Indices
from engine.strategy.decision import DecisionModel, after_failure
from engine.strategy.sequence import MOST_TRIES, act


def act_on(model: DecisionModel, beliefs: Array, plant: int) -> Array:
    """Expected minutes of acting from each row of beliefs, from this plant state."""
    return _acting(model, beliefs, plant)[0]


def first_on(model: DecisionModel, beliefs: Array, plant: int) -> Indices:
    """The first repair of acting from each row of beliefs; as many as there are repairs for handing on."""
    return _acting(model, beliefs, plant)[1]


def repair_first(model: DecisionModel, beliefs: Array, repair: int, plant: int) -> Array:
    """Expected minutes where this repair comes first whatever the belief; as many as there are is handing on."""
    if repair >= len(model.repairs):
        return np.asarray(beliefs @ model.hand_on)
    left = after_failure(model, beliefs, repair)
    still = left.sum(axis=1)
    opened = np.ones((len(beliefs), len(model.repairs)), dtype=bool)
    opened[:, repair] = False
    after = np.full(len(beliefs), int(model.leaves[plant, repair]), dtype=np.intp)
    then, _ = act(model, left, opened, after, MOST_TRIES - 1)
    spent = (beliefs.sum(axis=1) - still) * model.right[plant, repair] + still * model.wrong[plant, repair]
    return np.asarray(spent + then)


def _acting(model: DecisionModel, beliefs: Array, plant: int) -> tuple[Array, Indices]:
    opened = np.ones((len(beliefs), len(model.repairs)), dtype=bool)
    return act(model, beliefs, opened, np.full(len(beliefs), plant, dtype=np.intp))

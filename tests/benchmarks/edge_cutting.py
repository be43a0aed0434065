"""A rival from the literature: the look that cuts most edges between hypotheses with different remedies a minute.

Source: edge cutting under noise, Golovin, Krause and Ray 2010; with the discount by the likeliest answer of Chen,
Hassani and Krause 2016 (both from memory).
"""

from __future__ import annotations

import numpy as np

from engine.inference.belief import Array
from engine.strategy.decision import Look


def cut_a_minute(belief: Array, regions: Array, look: Look, minutes: float) -> float:
    """Expected weight of the edges that a look cuts, a minute.

    Args: belief, shape (hypotheses,); `regions`, the share of each hypothesis in each remedy, shape (hypotheses,
    remedies).
    """
    discount = look.outcomes / np.maximum(look.outcomes.max(axis=0), 1e-300)
    chances = look.outcomes @ belief
    left = np.array([_edges(belief * row, regions) for row in discount])
    # What would be cut by a look that tells nothing of the hypothesis does not count.
    nothing = _edges(belief, regions) - float(chances @ (discount.max(axis=1) ** 2)) * _edges(belief, regions)
    return look.chance * (_edges(belief, regions) - float(chances @ left) - nothing) / minutes


def _edges(weights: Array, regions: Array) -> float:
    """The weight of all edges between hypotheses of different remedies."""
    return float(weights.sum() ** 2 - ((weights @ regions) ** 2).sum())

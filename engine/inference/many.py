"""The beliefs of many jobs of one tree at once: what an answer weighs is worked out once for all that gave it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from engine.inference.belief import Array, Evidence, TreeModel

TOGETHER = 2_000_000
"""So many numbers, jobs times hypotheses, are reckoned with at a time."""


def posteriors(model: TreeModel, jobs: Sequence[Sequence[Evidence]]) -> Array:
    """P(hypothesis | findings) of each job, shape (jobs, hypotheses), each row summing to 1.

    A row is `posterior` of that job's findings, but for rounding.
    """
    few = max(TOGETHER // len(model.prior), 1)
    parts = [_at_once(model, jobs[start : start + few]) for start in range(0, len(jobs), few)]
    return np.concatenate(parts) if parts else np.empty((0, len(model.prior)))


def _at_once(model: TreeModel, jobs: Sequence[Sequence[Evidence]]) -> Array:
    total = np.repeat(np.log(np.maximum(model.prior, 1e-300))[None, :], len(jobs), axis=0)
    # Jobs often say the same: what an answer weighs is worked out once.
    rows: dict[tuple[str, tuple[float, ...]], list[int]] = {}
    for row, found in enumerate(jobs):
        for item in found:
            rows.setdefault((item.id, item.weights), []).append(row)
    for (name, weights), places in rows.items():
        total[places] += np.log(np.maximum(np.asarray(weights) @ model.tables[name], 1e-300))
    total -= total.max(axis=1, keepdims=True)
    raised = np.exp(total, out=total)
    raised /= raised.sum(axis=1, keepdims=True)
    return np.asarray(raised)

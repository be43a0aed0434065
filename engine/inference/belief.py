"""Exact belief over single causes, pairs of causes and something else, and what each answer weighs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Indices = npt.NDArray[np.intp]
Hypothesis = tuple[str, ...]
"""The causes present: one, two, or none of those the tree knows (something else)."""


@dataclass(frozen=True)
class Evidence:
    """One finding: `weights` (answers, in the catalogue's order) are how well each answer fits what was found.

    `readings` are the checks it rests on: the check itself, or the readings a derived finding was computed from.
    """

    id: str
    weights: tuple[float, ...]
    readings: tuple[str, ...]


NO_CAUSE = -1
"""In the place of a hypothesis' first or second cause, where it has none."""


@dataclass(frozen=True)
class TreeModel:
    """A tree as numbers. `tables[id]` has shape (answers, hypotheses); its columns sum to 1 over the given answers.

    `singles` is the same tree as if no two faults came together.
    """

    tree: str
    hypotheses: tuple[Hypothesis, ...]
    prior: Array
    tables: Mapping[str, Array]
    given: Mapping[str, tuple[int, ...]]
    singles: TreeModel | None = None

    def in_singles(self, belief: Array) -> Array:
        """The belief over the hypotheses of `singles`: a pair counts by halves for its causes."""
        share = np.where(self.second >= 0, belief / 2, belief)
        found = np.zeros(len(self.causes) + 1)
        for causes in (self.first, self.second):
            found[:-1] += np.bincount(causes[causes >= 0], share[causes >= 0], len(self.causes))
        found[-1] = belief[self.first < 0].sum()
        return found

    @cached_property
    def causes(self) -> tuple[str, ...]:
        """The tree's causes, in the order of its single hypotheses."""
        return tuple(h[0] for h in self.hypotheses if len(h) == 1)

    @cached_property
    def held(self) -> tuple[Indices, Indices]:
        """Which hypothesis holds which cause: places of hypotheses, and beside each the place of one of its causes."""
        place = {cause: k for k, cause in enumerate(self.causes)}
        both = [(k, place[cause]) for k, h in enumerate(self.hypotheses) for cause in h]
        return np.array([k for k, _ in both], dtype=np.intp), np.array([c for _, c in both], dtype=np.intp)

    @cached_property
    def first(self) -> Indices:
        """The first cause of each hypothesis, by its place in `causes`; NO_CAUSE where it has none."""
        place = {cause: k for k, cause in enumerate(self.causes)}
        return np.array([place[h[0]] if h else NO_CAUSE for h in self.hypotheses], dtype=np.intp)

    @cached_property
    def second(self) -> Indices:
        """The second cause of each hypothesis; NO_CAUSE where it has none."""
        place = {cause: k for k, cause in enumerate(self.causes)}
        return np.array([place[h[1]] if len(h) > 1 else NO_CAUSE for h in self.hypotheses], dtype=np.intp)


def likelihood(model: TreeModel, evidence: Evidence) -> Array:
    """P(finding | hypothesis) up to a constant: the answers' weights through the table. Shape (hypotheses,)."""
    return np.asarray(evidence.weights) @ model.tables[evidence.id]


def joint_weight(model: TreeModel, found: Sequence[Evidence]) -> Array:
    """Unnormalised log posterior, shape (hypotheses,): log prior plus the log likelihood of every finding."""
    total = np.log(np.maximum(model.prior, 1e-300))
    for evidence in found:
        total = total + np.log(np.maximum(likelihood(model, evidence), 1e-300))
    return np.asarray(total)


def posterior(model: TreeModel, found: Sequence[Evidence]) -> Array:
    """P(hypothesis | findings), shape (hypotheses,), summing to 1. The order of the findings does not matter."""
    total = joint_weight(model, found)
    raised = np.exp(total - total.max())
    return np.asarray(raised / raised.sum())


def left_wrong(first: Indices, second: Indices, beliefs: Array, cured: Array, undone: bool) -> Array:
    """What a repair that did not help leaves: P(hypothesis, still not working), shape (rows, hypotheses).

    A pair of which one cause is cured becomes the other cause alone; where the repair is undone, as it did not help,
    it stays the pair. A row's sum is P(the repair does not help).

    Args:
        first: each hypothesis' first cause by index, -1 where it has none.
        second: its second cause, -1 where it has none.
        beliefs: shape (rows, hypotheses).
        cured: P(the repair cures it) of each cause.
        undone: whether the repair is undone where it did not help: the old part goes back.

    Source: imperfect repairs, Jensen and others 2001, Proposition 2.
    """
    one = np.where(first >= 0, cured[first], 0.0)
    two = np.where(second >= 0, cured[second], 0.0)
    if undone:
        return np.asarray(beliefs * (1.0 - np.where(second >= 0, one * two, one)))
    left = beliefs * (1.0 - one) * (1.0 - two)
    alone = np.full(len(cured), NO_CAUSE)
    lone = np.flatnonzero((first >= 0) & (second < 0))
    alone[first[lone]] = lone
    pairs = np.flatnonzero((second >= 0) & (one + two > 0))
    for cured_of, other, other_cured in ((one, second, two), (two, first, one)):
        becomes = np.where(alone[other[pairs]] >= 0, alone[other[pairs]], pairs)
        np.add.at(left.T, becomes, (beliefs[:, pairs] * cured_of[pairs] * (1.0 - other_cured[pairs])).T)
    return np.asarray(left)


def after_helping_repair(model: TreeModel, belief: Array, cures: Mapping[str, float]) -> Array:
    """What was wrong, once a repair has brought the plant back to work; `cures` is P(cured) by cause.

    Of a pair both must have been cured. Where the repair can cure nothing that is thought of, nothing is learnt.
    """
    helps = np.array([math.prod(cures.get(cause, 0.0) for cause in h) if h else 0.0 for h in model.hypotheses])
    right = belief * helps
    total = float(right.sum())
    return np.asarray(right / total if total > 0.0 else belief)


def after_failed_repair(model: TreeModel, belief: Array, cures: Mapping[str, float], undone: bool = False) -> Array:
    """The belief once a repair was done and the plant still does not work; `cures` is P(cured) by cause.

    `undone`: the part was only swapped in, and the old one is back.
    """
    cured = np.array([cures.get(cause, 0.0) for cause in model.causes])
    left = left_wrong(model.first, model.second, belief[None, :], cured, undone)[0]
    return np.asarray(left / max(float(left.sum()), 1e-300))


def causes_marginal(model: TreeModel, belief: Array) -> dict[str, float]:
    """P(cause present) for each cause, most probable first; pairs count for both their causes."""
    hypotheses, causes = model.held
    shares = np.bincount(causes, belief[hypotheses], len(model.causes))
    return dict(sorted(zip(model.causes, shares.tolist(), strict=True), key=lambda item: -item[1]))


def decibans(model: TreeModel, found: Sequence[Evidence], cause: str) -> dict[str, float]:
    """Weight of evidence of each finding for a cause, in decibans, with every other finding taken as known.

    10 log10 of the odds of the cause with all findings over its odds without this one.

    Source: Good, Probability and the Weighing of Evidence, 1950 (from memory).
    """
    if not found:
        return {}
    has = np.array([cause in h for h in model.hypotheses])
    logs = [np.log(np.maximum(likelihood(model, e), 1e-300)) for e in found]
    total = joint_weight(model, found)
    everything = _log_odds(total, has)
    return {
        evidence.id: 10.0 / math.log(10.0) * (everything - _log_odds(total - logs[k], has))
        for k, evidence in enumerate(found)
    }


def _log_odds(total: Array, has: npt.NDArray[np.bool_]) -> float:
    def log_sum(values: Array) -> float:
        top = float(values.max())
        return top + math.log(float(np.exp(values - top).sum()))

    return log_sum(total[has]) - log_sum(total[~has])

"""Exact belief over single causes, pairs of causes and something else, and what each answer weighs."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from engine.knowledge.model import DANGER_CHECK, SOMETHING_ELSE, Cause, Check, Finding, Knowledge, Tree

Array = npt.NDArray[np.float64]
Indices = npt.NDArray[np.intp]
Hypothesis = tuple[str, ...]
"""The causes present: one, two, or none of those the tree knows (something else)."""

CONFLICT_NATS = math.log(5.0)
"""Above this, answers are said hardly to go together: together five times rarer than each for itself. Judgement."""


@dataclass(frozen=True)
class Evidence:
    """One finding: `weights` (answers, in the catalogue's order) are how well each answer fits what was found.

    `readings` are the checks it rests on: the check itself, or the readings a derived finding was computed from.
    """

    id: str
    weights: tuple[float, ...]
    readings: tuple[str, ...]


@dataclass(frozen=True)
class TreeModel:
    """A tree as numbers. `tables[id]` has shape (answers, hypotheses); its columns sum to 1 over the given answers."""

    tree: str
    hypotheses: tuple[Hypothesis, ...]
    prior: Array
    tables: Mapping[str, Array]
    given: Mapping[str, tuple[int, ...]]

    @cached_property
    def causes(self) -> tuple[str, ...]:
        """The tree's causes, in the order of its single hypotheses."""
        return tuple(h[0] for h in self.hypotheses if len(h) == 1)

    @cached_property
    def presence(self) -> Array:
        """1 where a hypothesis has a cause, else 0, shape (hypotheses, causes)."""
        return np.array([[float(cause in h) for cause in self.causes] for h in self.hypotheses])


@dataclass(frozen=True)
class Conflict:
    """Answers that hardly go together. `nats` is log(product of single probabilities / joint); `suspects` are the one
    or two findings whose taking back lowers it most."""

    nats: float
    suspects: tuple[str, ...]


def compile_tree(knowledge: Knowledge, tree: Tree) -> TreeModel:
    """Turn one tree and the catalogue into prior and tables.

    Within a check, a cause's unsaid answers share the rest as in `usual`; a cause that says nothing about it has the
    usual answers. Two causes that both speak combine by noisy-MAX in the order of the answers; where one of a pair
    speaks, its answers stand, as they already hold the background.

    Source: noisy-MAX Henrion 1989, Diez 1993 (from memory); leak and something else as in faults/README.md.
    """
    causes = [knowledge.causes[c] for c in tree.singles if c != SOMETHING_ELSE]
    pairs = _pairs(causes, tree)
    hypotheses: tuple[Hypothesis, ...] = (
        *((c.id,) for c in causes),
        *((causes[i].id, causes[j].id) for i, j in pairs),
        (),
    )
    observables: list[Check | Finding] = [*knowledge.checks.values(), *knowledge.findings.values()]
    tables = {item.id: _table(item, causes, pairs, tree) for item in observables}
    given = {
        check: tuple(_ids(knowledge.checks[check]).index(answer) for answer in answers)
        for check, answers in tree.given.items()
    }
    for check, rows in given.items():
        tables[check] = _only_given(tables[check], rows)
    return TreeModel(tree.id, hypotheses, _prior(causes, pairs, tree), tables, given)


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
    alone = {int(c): k for k, c in enumerate(first) if c >= 0 and second[k] < 0}
    for k in np.flatnonzero((second >= 0) & (one + two > 0)):
        left[:, alone.get(int(second[k]), k)] += beliefs[:, k] * one[k] * (1.0 - two[k])
        left[:, alone.get(int(first[k]), k)] += beliefs[:, k] * two[k] * (1.0 - one[k])
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
    place = {cause: k for k, cause in enumerate(model.causes)}
    first = np.array([place[h[0]] if h else -1 for h in model.hypotheses], dtype=np.intp)
    second = np.array([place[h[1]] if len(h) > 1 else -1 for h in model.hypotheses], dtype=np.intp)
    cured = np.array([cures.get(cause, 0.0) for cause in model.causes])
    left = left_wrong(first, second, belief[None, :], cured, undone)[0]
    return np.asarray(left / max(float(left.sum()), 1e-300))


def causes_marginal(model: TreeModel, belief: Array) -> dict[str, float]:
    """P(cause present) for each cause, most probable first; pairs count for both their causes."""
    shares = zip(model.causes, map(float, belief @ model.presence), strict=True)
    return dict(sorted(shares, key=lambda item: -item[1]))


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


def conflict(model: TreeModel, found: Sequence[Evidence]) -> Conflict | None:
    """Whether the findings hardly go together, and which one or two, taken back, would mend it most.

    Source: conflict measure of Jensen, Chamberlain, Nordahl and Jensen 1991 (from memory).
    """
    nats = _conflict_nats(model, found)
    if nats < CONFLICT_NATS:
        return None
    fewer = [
        (_conflict_nats(model, [e for e in found if e.id not in out]), len(out), out)
        for size in (1, 2)
        for out in itertools.combinations([e.id for e in found], size)
    ]
    single = min(item for item in fewer if item[1] == 1)
    double = min(item for item in fewer if item[1] == 2)
    # One suspect is easier to ask about; two are named only where one does not mend it.
    best = single if single[0] < CONFLICT_NATS or single[0] <= double[0] + 1e-9 else double
    return Conflict(nats, best[2])


def combine_most_striking(first: Array, second: Array) -> Array:
    """Distribution of the more striking of two independent answers; answers run from usual to most striking.

    Args: two arrays of shape (answers, n) whose columns sum to 1. Returns the same shape.
    Source: noisy-MAX, Diez 1993 (from memory): cumulative distributions multiply.
    """
    together = np.cumsum(first, axis=0) * np.cumsum(second, axis=0)
    return np.diff(together, axis=0, prepend=0.0)


def _conflict_nats(model: TreeModel, found: Sequence[Evidence]) -> float:
    joint = joint_weight(model, found)
    together = float(joint.max() + math.log(np.exp(joint - joint.max()).sum()))
    alone = sum(math.log(max(float(model.prior @ likelihood(model, e)), 1e-300)) for e in found)
    return alone - together


def _log_odds(total: Array, has: npt.NDArray[np.bool_]) -> float:
    def log_sum(values: Array) -> float:
        top = float(values.max())
        return top + math.log(float(np.exp(values - top).sum()))

    return log_sum(total[has]) - log_sum(total[~has])


def _pairs(causes: Sequence[Cause], tree: Tree) -> list[tuple[int, int]]:
    """Index pairs of causes that can be present together and have a share in this tree."""
    allowed = []
    for i, j in itertools.combinations(range(len(causes)), 2):
        first, second = causes[i], causes[j]
        if second.id in first.not_with or first.id in second.not_with:
            continue
        if tree.any_pair > 0 or _named_share(tree, first.id, second.id) is not None:
            allowed.append((i, j))
    return allowed


def _named_share(tree: Tree, first: str, second: str) -> float | None:
    return tree.pairs.get((first, second), tree.pairs.get((second, first)))


def _prior(causes: Sequence[Cause], pairs: Sequence[tuple[int, int]], tree: Tree) -> Array:
    """Prior over singles, pairs, something else. Of all calls, those with two faults go to the pairs."""
    single = np.array([tree.singles[c.id] for c in causes])
    named = [_named_share(tree, causes[i].id, causes[j].id) for i, j in pairs]
    loose = np.array(
        [single[i] * single[j] if share is None else 0.0 for (i, j), share in zip(pairs, named, strict=True)]
    )
    spread = loose * (tree.any_pair / loose.sum() if loose.sum() > 0 else 0.0)
    double = np.array([share or 0.0 for share in named]) + spread
    one_fault = 1.0 - double.sum()
    both = np.concatenate([single * one_fault, double, [tree.singles.get(SOMETHING_ELSE, 0.0) * one_fault]])
    return np.asarray(both / both.sum())


def _ids(item: Check | Finding) -> tuple[str, ...]:
    return tuple(answer.id for answer in item.answers)


def _table(item: Check | Finding, causes: Sequence[Cause], pairs: Sequence[tuple[int, int]], tree: Tree) -> Array:
    """P(answer | hypothesis), shape (answers, hypotheses), columns summing to 1."""
    ids = _ids(item)
    usual = np.array([item.usual[a] for a in ids])
    speaks = np.zeros(len(causes), dtype=bool)
    symptom = np.tile(usual[:, None], len(causes))
    # Only the ratios of these factors on a cause's odds count, as the columns are scaled to sum to 1.
    factor = np.ones_like(symptom)
    for k, cause in enumerate(causes):
        if (said := _said(item, cause, tree)) is not None:
            speaks[k], symptom[:, k] = True, _spread(ids, usual, said)
        if item.id in cause.likelier:
            factor[:, k] = [cause.likelier[item.id].get(answer, 1.0) for answer in ids]
    first = np.array([i for i, _ in pairs], dtype=np.intp)
    second = np.array([j for _, j in pairs], dtype=np.intp)
    double = np.where(speaks[first][None, :], symptom[:, first], symptom[:, second])
    both = speaks[first] & speaks[second]
    double[:, both] = combine_most_striking(symptom[:, first[both]], symptom[:, second[both]])
    # Something else is half usual and half even, or it would win whenever all readings are normal. What no cause of
    # the tree speaks of tells nothing of it either, nor does a danger, which stops the job whatever the fault is.
    told = item.id != DANGER_CHECK and (bool(speaks.any()) or any(item.id in cause.likelier for cause in causes))
    other = 0.5 * usual + 0.5 / len(ids) if told else usual
    table = np.concatenate([symptom * factor, double * factor[:, first] * factor[:, second], other[:, None]], axis=1)
    return np.asarray(table / table.sum(axis=0))


def _said(item: Check | Finding, cause: Cause, tree: Tree) -> Mapping[str, float] | None:
    """What a cause says about this item behind this complaint; None where it says nothing."""
    return tree.here.get(cause.id, {}).get(item.id, cause.shows.get(item.id))


def _spread(ids: Sequence[str], usual: Array, said: Mapping[str, float]) -> Array:
    """A cause's answers, unscaled; the unsaid ones share the rest in the proportions of `usual`."""
    stated = np.array([said.get(a, 0.0) for a in ids])
    unsaid = np.array([a not in said for a in ids])
    rest = max(0.0, 1.0 - float(stated.sum()))
    background = usual * unsaid
    return stated + rest * background / background.sum() if background.sum() > 0 else stated


def _only_given(table: Array, rows: tuple[int, ...]) -> Array:
    """The complaint counts once: among the given answers only their differences inform.

    Answers outside the given ones keep their own probability: they contradict the complaint and may say so.
    """
    result = table.copy()
    result[list(rows)] = table[list(rows)] / table[list(rows)].sum(axis=0)
    return result

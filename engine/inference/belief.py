"""Exact belief over single causes, pairs of causes and something else, and what each answer weighs."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from engine.knowledge.model import DANGER_CHECK, SOMETHING_ELSE, Cause, Check, Finding, Knowledge, Tree

Array = npt.NDArray[np.float64]
Indices = npt.NDArray[np.intp]
Pairs = tuple[Indices, Indices]
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


NO_CAUSE = -1
"""In the place of a hypothesis' first or second cause, where it has none."""
MOST_NUMBERS_KEPT = 2_000_000
"""So many numbers of a tree's tables are kept at a time, 16 MB; a shipped tree has a tenth of it in all."""


class LazyTables(Mapping[str, Array]):
    """The tables of a tree by check or finding, each made when it is first asked for.

    Where they are more than `MOST_NUMBERS_KEPT` together, those made first are made again when they are next wanted.
    """

    def __init__(self, ids: Sequence[str], make: Callable[[str], Array]) -> None:
        """Args: `make` gives the table of an id, shape (answers, hypotheses)."""
        self._ids, self._make = dict.fromkeys(ids), make
        self._kept: dict[str, Array] = {}
        self._numbers = 0

    def __getitem__(self, name: str) -> Array:
        if (found := self._kept.get(name)) is not None:
            return found
        if name not in self._ids:
            raise KeyError(name)
        made = self._make(name)
        self._numbers += made.size
        while self._numbers > MOST_NUMBERS_KEPT and self._kept:
            self._numbers -= self._kept.pop(next(iter(self._kept))).size
        self._kept[name] = made
        return made

    def __iter__(self) -> Iterator[str]:
        return iter(self._ids)

    def __len__(self) -> int:
        return len(self._ids)


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
    no_pairs = np.empty(0, dtype=np.intp), np.empty(0, dtype=np.intp)
    return replace(
        _compiled(knowledge, tree, causes, _pairs(causes, tree)),
        singles=_compiled(knowledge, tree, causes, no_pairs),
    )


def _compiled(knowledge: Knowledge, tree: Tree, causes: Sequence[Cause], pairs: Pairs) -> TreeModel:
    ids = [c.id for c in causes]
    hypotheses: tuple[Hypothesis, ...] = (
        *((name,) for name in ids),
        *((ids[i], ids[j]) for i, j in zip(*map(np.ndarray.tolist, pairs), strict=True)),
        (),
    )
    given = {
        check: tuple(_ids(knowledge.checks[check]).index(answer) for answer in answers)
        for check, answers in tree.given.items()
    }
    makes = _Makes(knowledge, tree, causes, pairs, given)
    tables = LazyTables([*knowledge.checks, *knowledge.findings], makes.table)
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


def _pairs(causes: Sequence[Cause], tree: Tree) -> Pairs:
    """Pairs, by index, of causes that can be present together and have a share in this tree; in rising order."""
    place = {cause.id: k for k, cause in enumerate(causes)}
    allowed = np.full((len(causes), len(causes)), tree.any_pair > 0)
    for one, two in tree.pairs:
        if one in place and two in place:
            allowed[place[one], place[two]] = allowed[place[two], place[one]] = True
    for k, cause in enumerate(causes):
        apart = [place[other] for other in cause.not_with if other in place]
        allowed[k, apart] = allowed[apart, k] = False
    first, second = np.nonzero(np.triu(allowed, 1))
    return first, second


def _prior(causes: Sequence[Cause], pairs: Pairs, tree: Tree) -> Array:
    """Prior over singles, pairs, something else. Of all calls, those with two faults go to the pairs."""
    single = np.array([tree.singles[c.id] for c in causes])
    first, second = pairs
    named = np.full((len(causes), len(causes)), np.nan)
    place = {cause.id: k for k, cause in enumerate(causes)}
    for (one, two), share in tree.pairs.items():
        if one in place and two in place:
            named[place[one], place[two]] = named[place[two], place[one]] = share
    shares = named[first, second]
    loose = np.where(np.isnan(shares), single[first] * single[second], 0.0)
    spread = loose * (tree.any_pair / loose.sum() if loose.sum() > 0 else 0.0)
    double = np.nan_to_num(shares) + spread
    one_fault = 1.0 - double.sum()
    both = np.concatenate([single * one_fault, double, [tree.singles.get(SOMETHING_ELSE, 0.0) * one_fault]])
    return np.asarray(both / both.sum())


def _ids(item: Check | Finding) -> tuple[str, ...]:
    return tuple(answer.id for answer in item.answers)


class _Makes:
    """Makes the tables of one tree, each from those causes alone that say something of its check or finding."""

    def __init__(
        self,
        knowledge: Knowledge,
        tree: Tree,
        causes: Sequence[Cause],
        pairs: Pairs,
        given: Mapping[str, tuple[int, ...]],
    ) -> None:
        self._items: Mapping[str, Check | Finding] = {**knowledge.checks, **knowledge.findings}
        self._count, self._pairs, self._given = len(causes), pairs, given
        # What each cause says of an item behind this complaint, and what an answer of it makes likelier.
        self._said: dict[str, dict[int, Mapping[str, float]]] = {}
        self._likelier: dict[str, dict[int, Mapping[str, float]]] = {}
        for k, cause in enumerate(causes):
            for name, said in {**cause.shows, **tree.here.get(cause.id, {})}.items():
                self._said.setdefault(name, {})[k] = said
            for name, factors in cause.likelier.items():
                self._likelier.setdefault(name, {})[k] = factors

    def table(self, name: str) -> Array:
        """P(answer | hypothesis), shape (answers, hypotheses), columns summing to 1 over the given answers."""
        made = self._ungiven(self._items[name])
        return _only_given(made, self._given[name]) if name in self._given else made

    def _ungiven(self, item: Check | Finding) -> Array:
        ids = _ids(item)
        usual = np.array([item.usual[a] for a in ids])
        said, likelier = self._said.get(item.id, {}), self._likelier.get(item.id, {})
        speaks = np.zeros(self._count, dtype=bool)
        symptom = np.tile(usual[:, None], self._count)
        for k, shares in said.items():
            speaks[k], symptom[:, k] = True, _spread(ids, usual, shares)
        first, second = self._pairs
        double = symptom[:, np.where(speaks[first], first, second)]
        both = np.flatnonzero(speaks[first] & speaks[second])
        double[:, both] = combine_most_striking(symptom[:, first[both]], symptom[:, second[both]])
        # Something else is half usual and half even, or it would win whenever all readings are normal. What no cause
        # of the tree speaks of tells nothing of it either, nor does a danger, which stops the job whatever the fault.
        told = item.id != DANGER_CHECK and bool(said or likelier)
        other = 0.5 * usual + 0.5 / len(ids) if told else usual
        if likelier:
            # Only the ratios of these factors on a cause's odds count, as the columns are scaled to sum to 1.
            factor = np.ones_like(symptom)
            for k, factors in likelier.items():
                factor[:, k] = [factors.get(answer, 1.0) for answer in ids]
            symptom, double = symptom * factor, double * factor[:, first] * factor[:, second]
        table = np.concatenate([symptom, double, other[:, None]], axis=1)
        return np.asarray(table / table.sum(axis=0))


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
    result, given = table.copy(), table[list(rows)]
    together = given.sum(axis=0)
    # A hypothesis under which none of them can be has no differences among them to tell of.
    result[list(rows)] = np.divide(given, together, out=given.copy(), where=together > 0)
    return result

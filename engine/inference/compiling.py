"""A tree of the knowledge as numbers: its hypotheses, their prior, and a table for each check and finding."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from threading import Lock

import numpy as np

from engine.inference.belief import Array, Hypothesis, Indices, TreeModel
from engine.knowledge.model import DANGER_CHECK, SOMETHING_ELSE, Cause, Check, Finding, Knowledge, Tree

Pairs = tuple[Indices, Indices]
"""The first and the second cause of each pair, by their places."""
MOST_NUMBERS_KEPT = 3_000_000
"""So many numbers of a tree's tables are kept at a time, 24 MB; a shipped tree has a tenth of it in all."""


class LazyTables(Mapping[str, Array]):
    """The tables of a tree by check or finding, each made when it is first asked for.

    Where they are more than `MOST_NUMBERS_KEPT` together, those that were longest not asked for are made again.
    Several threads may ask at once.
    """

    def __init__(self, ids: Sequence[str], make: Callable[[str], Array]) -> None:
        """Args: `make` gives the table of an id, shape (answers, hypotheses)."""
        self._ids, self._make = dict.fromkeys(ids), make
        self._kept: dict[str, Array] = {}
        self._numbers, self._crowded = 0, False
        self._lock = Lock()

    def __getitem__(self, name: str) -> Array:
        found = self._kept.get(name)
        if found is not None and not self._crowded:
            return found
        with self._lock:
            return self._kept_or_made(name)

    def _kept_or_made(self, name: str) -> Array:
        if (found := self._kept.pop(name, None)) is None:
            if name not in self._ids:
                raise KeyError(name)
            found = self._make(name)
            self._numbers += found.size
            self._crowded = self._crowded or self._numbers > MOST_NUMBERS_KEPT
        while self._numbers > MOST_NUMBERS_KEPT and self._kept:
            self._numbers -= self._kept.pop(next(iter(self._kept))).size
        self._kept[name] = found
        return found

    def __iter__(self) -> Iterator[str]:
        return iter(self._ids)

    def __len__(self) -> int:
        return len(self._ids)


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


def combine_most_striking(first: Array, second: Array) -> Array:
    """Distribution of the more striking of two independent answers; answers run from usual to most striking.

    Args: two arrays of shape (answers, n) whose columns sum to 1. Returns the same shape.
    Source: noisy-MAX, Diez 1993 (from memory): cumulative distributions multiply.
    """
    together = np.cumsum(first, axis=0) * np.cumsum(second, axis=0)
    return np.diff(together, axis=0, prepend=0.0)


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

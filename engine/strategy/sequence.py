"""What it costs to act without looking further: repairs by chance over cost, then handing on."""

from __future__ import annotations

import numpy as np

from engine.inference.belief import Array, Indices
from engine.strategy.decision import NONE, DecisionModel, Flags

MOST_TRIES = 6
"""So many repairs are tried one after the other before the job is handed on; more never paid at shipped size."""


def act(
    model: DecisionModel,
    beliefs: Array,
    open_repairs: Flags,
    plant: Indices,
    tries: int = MOST_TRIES,
    shares: Array | None = None,
) -> tuple[Array, Indices]:
    """Expected minutes of acting without another look, and the first repair, for each row.

    Repairs run by falling chance over cost, worked out anew after each that failed, as many as pay; then the job is
    handed on. Where the order of work also decides what must be opened, it is tried both with and without that cost.

    Args:
        beliefs: shape (rows, hypotheses); a row may be unnormalised, its minutes are then weighed by its sum.
        open_repairs: shape (rows, repairs), which of them may still be tried.
        plant: the plant state of each row.
        tries: how many repairs may be tried at most.
        shares: the beliefs by cause, where they were added up already.

    Returns:
        Minutes, shape (rows,), and the index of the first repair, as many as there are repairs for handing on.

    Source: order by p/c, Heckerman, Breese and Rommelse 1995, eq. 5; optimal for one fault and costs that do not depend
    on one another (Jensen and others 2001, Theorem 1). With pairs or repairs that overlap it is a good order.
    """
    shares = model.by_cause(beliefs) if shares is None else shares
    minutes, first = _run(model, beliefs, shares, open_repairs, plant, tries, model.wrong)
    if len(model.wrong) > 1 and (model.leaves > 0).any():
        cheapest = np.repeat(model.wrong.min(axis=0)[None, :], len(model.wrong), axis=0)
        other, other_first = _run(model, beliefs, shares, open_repairs, plant, tries, cheapest)
        first = np.where(other < minutes - 1e-12, other_first, first)
        minutes = np.minimum(minutes, other)
    return minutes, first


class _Still:
    """What still does not work as repairs are tried: of each row the causes as far as they are open.

    A repair cures few causes, so what it changes is reckoned from these alone: the hypotheses that hold one of them by
    itself, and those that pair it with one that was tried before.
    """

    def __init__(self, model: DecisionModel, beliefs: Array) -> None:
        self._model, self._mass, self._costs = model, beliefs, beliefs * model.hand_on
        self._rows = np.arange(len(beliefs))
        self._tried = np.empty((len(beliefs), 0), dtype=np.intp)
        self.open = np.ones((len(beliefs), model.cures.shape[1]))
        self.unsolved = self._mass.sum(axis=1)
        """P(not working) of each row."""
        self.handed = self._costs.sum(axis=1)
        """The minutes that handing on then costs, of each row."""
        if model.same_as is not None:
            self._mass, self._costs = (_put_together(each, model.same_as) for each in (self._mass, self._costs))

    def only(self, kept: Flags) -> None:
        """Go on with these rows."""
        self._rows, self._tried, self.open = self._rows[kept], self._tried[kept], self.open[kept]
        self.unsolved, self.handed = self.unsolved[kept], self.handed[kept]

    def repair(self, repair: Indices) -> None:
        """Try one repair in each row."""
        causes, sure = self._model.cured
        for slot in range(causes.shape[1]):
            cause = causes[repair, slot]
            if slot == 0 or (cause >= 0).any():
                self._cure(cause, sure[repair, slot])

    def _cure(self, cause: Indices, sure: Array) -> None:
        model, here = self._model, np.arange(len(cause))
        was = self.open[here, cause]
        solved = was * sure
        self.open[here, cause] = was - solved
        self._take_off(model.lone_of[cause], solved)
        if self._tried.shape[1]:
            others = np.where(self._tried >= 0, 1.0 - self.open[here[:, None], self._tried], 0.0)
            self._take_off(model.pair_of[cause[:, None], self._tried], solved[:, None] * others)
        self._tried = np.concatenate([self._tried, np.where(was == 1.0, cause, NONE)[:, None]], axis=1)

    def _take_off(self, places: Indices, share: Array) -> None:
        """These hypotheses are solved by so much more."""
        rows = self._rows if places.ndim == 1 else self._rows[:, None]
        share = np.where(places >= 0, share, 0.0)
        mass, costs = self._mass[rows, places] * share, self._costs[rows, places] * share
        self.unsolved = self.unsolved - (mass if places.ndim == 1 else mass.sum(axis=1))
        self.handed = self.handed - (costs if places.ndim == 1 else costs.sum(axis=1))


def _put_together(beliefs: Array, same_as: Indices) -> Array:
    """Each row with the hypotheses that have the same causes as one."""
    found = np.zeros_like(beliefs)
    np.add.at(found.T, same_as, beliefs.T)
    return found


def _run(
    model: DecisionModel,
    beliefs: Array,
    share: Array,
    open_repairs: Flags,
    plant: Indices,
    tries: int,
    price: Array,
) -> tuple[Array, Indices]:
    count = len(model.repairs)
    still = _Still(model, beliefs)
    best, first = still.handed.copy(), np.full(len(beliefs), count, dtype=np.intp)
    rows, leading = np.arange(len(beliefs)), first
    left, spent = open_repairs.copy(), np.zeros(len(beliefs))
    causes, sure = model.cured
    for place in range(min(tries, count)):
        chance = _chances(share * still.open, causes, sure)
        here = np.arange(len(rows))
        repair = np.argmax(np.where(left, chance / price[plant], -1.0), axis=1)
        # A row in which no repair is of use any more, or that has cost as much as its best, never is better again.
        going = left[here, repair] & (chance[here, repair] > 0) & (spent < best[rows])
        if not going.all():
            if not going.any():
                break
            rows, share, left, spent, plant = rows[going], share[going], left[going], spent[going], plant[going]
            repair, leading, here = repair[going], leading[going], here[: len(rows)]
            still.only(going)
        leading = repair if place == 0 else leading
        before = still.unsolved
        still.repair(repair)
        wrong, right = model.wrong[plant, repair], model.right[plant, repair]
        spent = spent + ((before - still.unsolved) * right + still.unsolved * wrong)
        better = spent + still.handed < best[rows] - 1e-12
        best[rows[better]] = (spent + still.handed)[better]
        first[rows[better]] = leading[better]
        plant = model.leaves[plant, repair]
        left[here, repair] = False
    return best, first


def _chances(share: Array, causes: Indices, sure: Array) -> Array:
    """P(each repair cures), shape (rows, repairs), from the shares of the causes as far as they are open."""
    return np.asarray(sum(share[:, causes[:, slot]] * sure[:, slot] for slot in range(causes.shape[1])))

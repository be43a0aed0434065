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
        count, hypotheses = len(beliefs), beliefs.shape[1]
        self._model, self._rows = model, np.arange(count)[:, None]
        # With a last place that is no hypothesis.
        self._mass = np.zeros((2, count, hypotheses + 1))
        self._mass[0, :, :-1] = beliefs
        np.multiply(beliefs, model.hand_on, out=self._mass[1, :, :-1])
        self.left = self._mass.sum(axis=2)
        """P(not working), and the minutes that handing on then costs, of each row; shape (2, rows)."""
        if model.same_as is not None:
            self._mass = _put_together(self._mass, model.same_as)
        causes = model.cures.shape[1]
        # How far each cause is solved; then what counts as solved for a cause by itself, and for none.
        self._solved = np.zeros((count, causes + 2))
        self._solved[:, causes] = 1.0
        self._tried = np.full((count, 1), causes)

    @property
    def open(self) -> Array:
        """How far each cause is still open, shape (rows, causes)."""
        return np.asarray(1.0 - self._solved[:, :-2])

    def only(self, kept: Flags) -> None:
        """Go on with these rows."""
        self._rows, self._tried, self._solved = self._rows[kept], self._tried[kept], self._solved[kept]
        self.left = self.left[:, kept]

    def repair(self, repair: Indices) -> None:
        """Try one repair in each row."""
        causes, sure = self._model.cured
        for slot in range(causes.shape[1]):
            cause = causes[repair, slot]
            if slot == 0 or (cause >= 0).any():
                self._cure(cause, sure[repair, slot])

    def _cure(self, cause: Indices, sure: Array) -> None:
        here = np.arange(len(cause))
        was = self._solved[here, cause]
        more = (1.0 - was) * sure
        share = self._solved[here[:, None], self._tried] * more[:, None]
        places = self._model.partners[cause[:, None], self._tried]
        self.left = self.left - (self._mass[:, self._rows, places] * share).sum(axis=2)
        self._solved[here, cause] = was + more
        self._tried = np.concatenate([self._tried, np.where(was == 0.0, cause, NONE)[:, None]], axis=1)


def _put_together(mass: Array, same_as: Indices) -> Array:
    """Each row with the hypotheses that have the same causes as one; the last place stays."""
    found = np.zeros_like(mass)
    np.add.at(found.T, same_as, mass[:, :, :-1].T)
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
    best, first = still.left[1].copy(), np.full(len(beliefs), count, dtype=np.intp)
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
        before = still.left[0]
        still.repair(repair)
        unsolved, handed = still.left
        spent = spent + ((before - unsolved) * model.right[plant, repair] + unsolved * model.wrong[plant, repair])
        better = spent + handed < best[rows] - 1e-12
        best[rows[better]] = (spent + handed)[better]
        first[rows[better]] = leading[better]
        plant = model.leaves[plant, repair]
        left[here, repair] = False
    return best, first


def _chances(share: Array, causes: Indices, sure: Array) -> Array:
    """P(each repair cures), shape (rows, repairs), from the shares of the causes as far as they are open."""
    return np.asarray(sum(share[:, causes[:, slot]] * sure[:, slot] for slot in range(causes.shape[1])))

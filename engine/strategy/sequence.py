"""What it costs to act without looking further: repairs by chance over cost, then handing on."""

from __future__ import annotations

import numpy as np

from engine.inference.belief import Array, Indices
from engine.strategy.decision import FULL_UPTO, NONE, DecisionModel, Flags

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

    def __init__(self, model: DecisionModel, beliefs: Array, share: Array) -> None:
        count, hypotheses = beliefs.shape
        self._model, self._starts = model, (np.arange(count) * hypotheses)[:, None]
        together = beliefs if model.same_as is None else _put_together(beliefs, model.same_as)
        self._mass = np.ascontiguousarray(together).ravel()
        self._causes = model.cures.shape[1]
        # How far each cause is solved; then what counts as solved for a cause by itself, and for none.
        self._solved = np.zeros((count, self._causes + 2))
        self._solved[:, self._causes] = 1.0
        self._tried = np.full((count, 1), self._causes)
        self.share = share.copy()
        """The shares of the causes as far as they are open, shape (rows, causes)."""
        self.unsolved = beliefs.sum(axis=1)
        """P(not working) of each row."""
        self.handed = beliefs @ model.hand_on
        """The minutes that handing on then costs, of each row."""

    def only(self, kept: Flags) -> None:
        """Go on with these rows."""
        self._starts, self._tried, self._solved = self._starts[kept], self._tried[kept], self._solved[kept]
        self.share, self.unsolved, self.handed = self.share[kept], self.unsolved[kept], self.handed[kept]

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
        places = self._model.partners.take(cause[:, None] * (self._causes + 2) + self._tried)
        solved = self._solved[here[:, None], self._tried] * more[:, None] * (places >= 0)
        solved *= self._mass.take(self._starts + places)
        self.unsolved = self.unsolved - solved.sum(axis=1)
        self.handed = self.handed - (solved * self._model.hand_on.take(places)).sum(axis=1)
        self._solved[here, cause] = was + more
        self.share[here, cause] *= 1.0 - sure
        self._tried = np.concatenate([self._tried, np.where(was == 0.0, cause, NONE)[:, None]], axis=1)


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
    still = _Still(model, beliefs, share)
    best, first = still.handed.copy(), np.full(len(beliefs), count, dtype=np.intp)
    rows, leading = np.arange(len(beliefs)), first
    closed, spent = ~open_repairs, np.zeros(len(beliefs))
    for place in range(min(tries, count)):
        chance = _chances(model, still.share)
        here = np.arange(len(rows))
        worth = chance / price[plant]
        worth[closed] = -1.0
        repair = worth.argmax(axis=1)
        # A row in which no repair is of use any more, or that has cost as much as its best, never is better again.
        going = (worth[here, repair] > 0) & (spent < best[rows])
        if not going.all():
            if not going.any():
                break
            rows, closed, spent, plant = rows[going], closed[going], spent[going], plant[going]
            repair, leading, here = repair[going], leading[going], here[: len(rows)]
            still.only(going)
        leading = repair if place == 0 else leading
        before = still.unsolved
        still.repair(repair)
        unsolved, after = still.unsolved, still.handed
        spent = spent + ((before - unsolved) * model.right[plant, repair] + unsolved * model.wrong[plant, repair])
        better = spent + after < best[rows] - 1e-12
        best[rows[better]] = (spent + after)[better]
        first[rows[better]] = leading[better]
        plant = model.leaves[plant, repair]
        closed[here, repair] = True
    return best, first


def _chances(model: DecisionModel, share: Array) -> Array:
    """P(each repair cures), shape (rows, repairs), from the shares of the causes as far as they are open."""
    if model.cures.size <= FULL_UPTO:
        return np.asarray(share @ model.cures.T)
    causes, sure = model.cured
    return np.asarray(sum(share[:, causes[:, slot]] * sure[:, slot] for slot in range(causes.shape[1])))

"""What it costs to act without looking further: repairs by chance over cost, then handing on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engine.inference.belief import Array, Indices
from engine.strategy.decision import DecisionModel, Flags

MOST_TRIES = 6
"""So many repairs are tried one after the other before the job is handed on; more never paid at shipped size."""


def act(
    model: DecisionModel, beliefs: Array, open_repairs: Flags, plant: Indices, tries: int = MOST_TRIES
) -> tuple[Array, Indices]:
    """Expected minutes of acting without another look, and the first repair, for each row.

    Repairs run by falling chance over cost, worked out anew after each that failed, as many as pay; then the job is
    handed on. Where the order of work also decides what must be opened, it is tried both with and without that cost.

    Args:
        beliefs: shape (rows, hypotheses); a row may be unnormalised, its minutes are then weighed by its sum.
        open_repairs: shape (rows, repairs), which of them may still be tried.
        plant: the plant state of each row.
        tries: how many repairs may be tried at most.

    Returns:
        Minutes, shape (rows,), and the index of the first repair, as many as there are repairs for handing on.

    Source: order by p/c, Heckerman, Breese and Rommelse 1995, eq. 5; optimal for one fault and costs that do not depend
    on one another (Jensen and others 2001, Theorem 1). With pairs or repairs that overlap it is a good order.
    """
    minutes, first = _run(model, beliefs, open_repairs, plant, tries, model.wrong)
    if len(model.wrong) > 1 and (model.leaves > 0).any():
        cheapest = np.repeat(model.wrong.min(axis=0)[None, :], len(model.wrong), axis=0)
        other, other_first = _run(model, beliefs, open_repairs, plant, tries, cheapest)
        first = np.where(other < minutes - 1e-12, other_first, first)
        minutes = np.minimum(minutes, other)
    return minutes, first


@dataclass(frozen=True)
class _Mass:
    """The rows' beliefs split by how many causes a hypothesis has; each with plain and with hand-on weights."""

    single: Array
    pair: Array
    unknown: Array
    first: Indices
    second: Indices

    def unsolved(self, open_share: Array) -> Array:
        """Shape (2, rows): P(not working), and the minutes that handing on then costs, with these causes still open."""
        solved = 1.0 - open_share
        either = np.take(solved, self.first, axis=1)
        either *= np.take(solved, self.second, axis=1)
        np.subtract(1.0, either, out=either)
        alone = np.einsum("krc,rc->kr", self.single, open_share)
        return np.asarray(self.unknown + alone + np.einsum("krp,rp->kr", self.pair, either))


def _mass(model: DecisionModel, beliefs: Array) -> _Mass:
    weights = np.empty((2, *beliefs.shape))
    weights[0] = beliefs
    np.multiply(beliefs, model.hand_on, out=weights[1])
    lone, twin = _part((model.first >= 0) & (model.second < 0)), _part(model.second >= 0)
    single = weights[:, :, lone] @ model.shares[lone]
    unknown = weights[:, :, model.first < 0].sum(axis=2)
    return _Mass(single, weights[:, :, twin], unknown, model.first[twin], model.second[twin])


def _part(chosen: Flags) -> slice | Indices:
    """The places that are chosen; where they lie together, as in a compiled tree, nothing is copied for them."""
    places = np.flatnonzero(chosen)
    together = len(places) > 0 and int(places[-1] - places[0]) + 1 == len(places)
    return slice(int(places[0]), int(places[-1]) + 1) if together else places


def _run(
    model: DecisionModel, beliefs: Array, open_repairs: Flags, plant: Indices, tries: int, price: Array
) -> tuple[Array, Indices]:
    count, rows = len(model.repairs), np.arange(len(beliefs))
    mass, share = _mass(model, beliefs), beliefs @ model.shares
    first = np.full(len(beliefs), count, dtype=np.intp)
    open_share, left = np.ones_like(share), open_repairs.copy()
    unsolved, best = mass.unsolved(open_share)
    spent = np.zeros(len(beliefs))
    leading = first
    for place in range(min(tries, count)):
        chance = (share * open_share) @ model.cures.T
        repair = np.argmax(np.where(left, chance / price[plant], -1.0), axis=1)
        usable = left[rows, repair] & (chance[rows, repair] > 0)
        # A row in which no repair is of use any more, or that has cost as much as its best, never is better again.
        if not (usable & (spent < best)).any():
            break
        open_share = open_share * (1.0 - model.cures[repair])
        after, handed = mass.unsolved(open_share)
        wrong, right = model.wrong[plant, repair], model.right[plant, repair]
        spent = spent + ((unsolved - after) * right + after * wrong)
        leading = repair if place == 0 else leading
        better = usable & (spent + handed < best - 1e-12)
        first, best = np.where(better, leading, first), np.where(better, spent + handed, best)
        unsolved = after
        plant = model.leaves[plant, repair]
        left[rows, repair] = False
    return best, first

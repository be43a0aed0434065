"""Looking ahead: one step everywhere, two or three where the problem is small; the least expected cost wins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from engine.inference.belief import Array, Indices
from engine.strategy.decision import DecisionModel, Flags, Look, after_failure
from engine.strategy.sequence import MOST_TRIES, act

NEGLIGIBLE = 1e-6
"""What is less likely than this cannot move a decision."""
LEFT_OUT = 2e-5
"""The least likely hypotheses, so likely together at most, are left out of looking ahead; see `counting`."""
SEARCH_SLACK = 1.6
"""Later checks tell less for their minutes than the best one now: the factor on its minutes a bit. Judgement."""
MOST_LEAVES = 8_000
"""More steps than one are looked ahead where they end in no more than so many numbers: some tens of milliseconds."""


@dataclass(frozen=True)
class Position:
    """Where a job stands: the belief over hypotheses, the looks and repairs still open, the plant state."""

    belief: Array
    looks: tuple[Look, ...]
    open_repairs: Flags
    plant: int = 0


class Worth(NamedTuple):
    """What a look is worth now: `gain` in minutes saved before its own `minutes`, `bits` told about the remedy."""

    look: Look
    minutes: float
    gain: float
    bits: float


def counting(belief: Array) -> Flags:
    """The hypotheses that count in looking ahead: all but the least likely ones, together at most LEFT_OUT.

    What any course of looks and repairs costs on average is linear in the belief, and no less than nothing in any
    hypothesis. So where m is left out, and no course costs more than D minutes in any of them, the least average cost
    moves by no more than m D, and a first step that is best without them costs no more than m D above the best one.
    """
    order = np.argsort(belief)
    found = np.ones(len(belief), dtype=bool)
    found[order[np.cumsum(belief[order]) <= LEFT_OUT]] = False
    return found


def depth(position: Position) -> int:
    """How many steps can be looked ahead here, the first included, without the person waiting for it: 1, 2 or 3."""
    branches = sum(len(look.outcomes) for look in position.looks) + int(position.open_repairs.sum())
    hypotheses = len(position.belief)
    return 1 + (branches**2 * hypotheses <= MOST_LEAVES) + (branches**3 * hypotheses <= MOST_LEAVES)


def worths(model: DecisionModel, position: Position, tries: int = MOST_TRIES) -> list[Worth]:
    """Every open look with its worth; above its minutes it pays. In the order of the position's looks.

    Source: now, after the best action, or never: Langseth and Jensen 2003, eq. 5; one step of lookahead Heckerman,
    Breese and Rommelse 1995, eq. 7, with entropy as the cost still to come after Pattipati and Alexandridis 1990.
    """
    if not position.looks:
        return []
    if tries == 1 or depth(position) == 1:
        return _one_step(model, position, tries)
    told = _bits_told(model, Stacked.of(position.looks), position.belief)
    acting, _ = _acting(model, position)
    rows, further = position.belief[None, :], depth(position) - 1
    found = []
    for k, look in enumerate(position.looks):
        cost = look.minutes[position.plant]
        asking = float(_looking(model, rows, position, k, further)[0])
        found.append(Worth(look, cost, max(acting - asking + cost, 0.0), float(told[k])))
    return found


def next_step(model: DecisionModel, position: Position) -> tuple[str, int]:
    """The step to take: ("look", index of the look), ("repair", index of the repair) or ("hand_on", 0)."""
    best = max(
        ((w.gain - w.minutes, -k) for k, w in enumerate(worths(model, position))),
        default=(0.0, 0),
    )
    if best[0] > 1e-12:
        return "look", -best[1]
    _, repair = _acting(model, position)
    return ("hand_on", 0) if repair == len(model.repairs) else ("repair", repair)


def settles(model: DecisionModel, joint: Array, threshold: float = 0.95) -> bool:
    """Whether some answer would name the remedy: lift one to `threshold` or above.

    Args: joint, P(answer, hypothesis), shape (answers, hypotheses).
    Source: questions that name the fault, Jensen and others 2001, section 4.
    """
    seen = joint.sum(axis=1)
    after = model.by_remedy(joint)[seen > 1e-12] / seen[seen > 1e-12, None]
    return bool((after >= threshold).any())


def entropy_bits(shares: Array) -> Array:
    """Shannon entropy of each row, in bits."""
    safe = np.maximum(shares, 1e-300)
    return np.asarray(-(safe * np.log2(safe)).sum(axis=1))


@dataclass(frozen=True)
class Stacked:
    """The tables of several looks, one below the other, and the row at which each begins."""

    table: Array
    starts: Indices

    @classmethod
    def of(cls, looks: Sequence[Look]) -> Stacked:
        """The tables of these looks, one at least."""
        tables = [look.outcomes for look in looks]
        return cls(np.concatenate(tables), np.cumsum([0] + [len(table) for table in tables])[:-1])

    def only(self, kept: Flags) -> Stacked:
        """The same tables with only these hypotheses."""
        return replace(self, table=self.table[:, kept])

    def before_and_after(self, belief: Array) -> tuple[Array, Array]:
        """The chance of every answer; and the belief, with that after each answer below it, one a row."""
        rows = np.empty((len(self.table) + 1, len(belief)))
        rows[0] = belief
        np.multiply(self.table, belief, out=rows[1:])
        chances = rows[1:].sum(axis=1)
        rows[1:] /= np.maximum(chances, 1e-300)[:, None]
        return chances, rows

    def by_look(self, chances: Array, values: Array) -> Array:
        """What is to be expected of each look, from the chance and value of every answer."""
        return np.asarray(np.add.reduceat(chances * values, self.starts))


def _bits_told(model: DecisionModel, looks: Stacked, belief: Array) -> Array:
    """Expected information of each look on which remedy is right, in bits."""
    chances, rows = looks.before_and_after(belief)
    bits = entropy_bits(model.by_remedy(rows))
    return np.asarray(np.maximum(bits[0] - looks.by_look(chances, bits[1:]), 0.0))


@dataclass(frozen=True)
class _Near:
    """The looks of a position over the hypotheses that count."""

    model: DecisionModel
    looks: tuple[Look, ...]
    tables: Stacked
    says: Array
    tries: int

    def minutes(self, plant: int) -> Array:
        """What each look costs from this plant state."""
        return np.array([look.minutes[plant] for look in self.looks])


@dataclass(frozen=True)
class _Ahead:
    """A belief, in its first row, and those after each answer to each look, with what each leaves open, in bits."""

    near: _Near
    chances: Array
    rows: Array
    shares: Array
    bits: Array

    @classmethod
    def of(cls, near: _Near, belief: Array) -> _Ahead:
        """The beliefs after each answer."""
        chances, rows = near.tables.before_and_after(belief)
        shares = near.model.by_cause(rows)
        return cls(near, chances, rows, shares, entropy_bits(near.model.by_remedy(rows, shares)))

    @property
    def told(self) -> Array:
        """Expected information of each look on which remedy is right, in bits."""
        return np.asarray(np.maximum(self.bits[0] - self.near.tables.by_look(self.chances, self.bits[1:]), 0.0))

    def to_go(self, position: Position, price: float) -> tuple[float, Array, int]:
        """Minutes to go, those after an answer to each look, and the first repair were no more looks taken.

        The lesser of acting and of asking on, at the minutes that the best look takes a bit: what a second step would
        find, without taking it.
        """
        near = self.near
        acting, first = _act_rows(near.model, self.rows, position, near.tries, self.shares)
        least = np.minimum(acting, self.rows @ near.model.knowing + price * self.bits)
        return float(least[0]), near.tables.by_look(self.chances, least[1:]), int(first[0])


def _one_step(model: DecisionModel, position: Position, tries: int) -> list[Worth]:
    looks = position.looks
    minutes = np.array([look.minutes[position.plant] for look in looks])
    says = np.array([look.chance for look in looks])
    gains, told = np.zeros(len(looks)), np.zeros(len(looks))
    # What tells nothing is worth nothing, and is most of what could be asked.
    telling = [k for k, look in enumerate(looks) if look.tells]
    if telling:
        live = counting(position.belief)
        belief = position.belief[live] / position.belief[live].sum()
        near = replace(position, looks=tuple(looks[k] for k in telling))
        tables = Stacked.of(near.looks).only(live)
        part = _Near(model.only(live), near.looks, tables, says[telling], tries)
        ahead = _Ahead.of(part, belief)
        told[telling] = ahead.told
        price = SEARCH_SLACK * float((minutes / np.maximum(says * told, 1e-9)).min())
        gains[telling] = _gains(ahead, belief, near, price, minutes[telling])
    return [
        Worth(look, m, g, b)
        for look, m, g, b in zip(looks, minutes.tolist(), gains.tolist(), told.tolist(), strict=True)
    ]


def _gains(ahead: _Ahead, belief: Array, position: Position, price: float, minutes: Array) -> Array:
    """What each look saves before its own minutes, shape (looks,)."""
    near, model = ahead.near, ahead.near.model
    never, asked, repair = ahead.to_go(position, price)
    gains = near.says * np.maximum(never - asked, 0.0)
    if near.tries > 1 and repair < len(model.repairs) and model.goes_on[repair] and (gains > minutes).any():
        # A look keeps its place among those that are best taken now; what is better taken later is worth nothing yet.
        after = _after_repair(near, belief, position, price, repair)
        later = after < never - gains + minutes
        gains = np.where(later, np.clip(gains - (never - after), 0.0, minutes), gains)
    return np.asarray(gains)


def _after_repair(near: _Near, belief: Array, position: Position, price: float, repair: int) -> Array:
    """Minutes where this repair comes first and each look only after it failed, shape (looks,)."""
    model = near.model
    left = after_failure(model, belief[None, :], repair)[0]
    still = float(left.sum())
    spent = (1.0 - still) * model.right[position.plant, repair] + still * model.wrong[position.plant, repair]
    if still < NEGLIGIBLE:
        return np.full(len(near.looks), spent)
    then = _without(model, position, repair)
    on, asked, _ = _Ahead.of(near, left / still).to_go(then, price)
    looking = near.minutes(then.plant) + near.says * np.minimum(asked, on) + (1.0 - near.says) * on
    return np.asarray(spent + still * looking)


def _without(model: DecisionModel, position: Position, repair: int) -> Position:
    """The position once a repair was done, its belief left as it was; no look is left where the visit ends with it."""
    opened = position.open_repairs.copy()
    opened[repair] = False
    looks = position.looks if model.goes_on[repair] else ()
    return replace(position, looks=looks, open_repairs=opened, plant=int(model.leaves[position.plant, repair]))


def _act_rows(
    model: DecisionModel, rows: Array, position: Position, tries: int, shares: Array | None = None
) -> tuple[Array, Indices]:
    """Acting from each row of beliefs, with the position's repairs and plant."""
    plant = np.full(len(rows), position.plant, dtype=np.intp)
    return act(model, rows, np.tile(position.open_repairs, (len(rows), 1)), plant, tries, shares)


def _acting(model: DecisionModel, position: Position) -> tuple[float, int]:
    """Least expected minutes where the next step is a repair or handing on, and that repair's index."""
    rows, further = position.belief[None, :], depth(position) - 1
    best, choice = float(position.belief @ model.hand_on), len(model.repairs)
    for repair in map(int, np.flatnonzero(position.open_repairs)):
        cost = float(_repairing(model, rows, position, repair, further)[0])
        if cost < best - 1e-12:
            best, choice = cost, repair
    return best, choice


def _repairing(model: DecisionModel, rows: Array, position: Position, repair: int, further: int) -> Array:
    """Expected minutes of each row where the next step is this repair, and so many steps are looked ahead after it."""
    left = after_failure(model, rows, repair)
    still = left.sum(axis=1)
    right, wrong = model.right[position.plant, repair], model.wrong[position.plant, repair]
    after = _without(model, position, repair)
    spent = (rows.sum(axis=1) - still) * right + still * wrong
    return np.asarray(spent + _value(model, left, after, further))


def _looking(model: DecisionModel, rows: Array, position: Position, k: int, further: int) -> Array:
    """Expected minutes of each row where the next step is look k, and so many steps are looked ahead after it."""
    look = position.looks[k]
    answers = look.chance * look.outcomes
    if look.chance < 1.0:
        answers = np.concatenate([answers, np.full((1, rows.shape[1]), 1.0 - look.chance)])
    told = (answers[:, None, :] * rows[None, :, :]).reshape(-1, rows.shape[1])
    rest = position.looks[:k] + position.looks[k + 1 :]
    after = replace(position, looks=rest, plant=look.leaves[position.plant])
    later = _value(model, told, after, further).reshape(-1, len(rows)).sum(axis=0)
    return np.asarray(rows.sum(axis=1) * look.minutes[position.plant] + later)


def _value(model: DecisionModel, rows: Array, position: Position, further: int) -> Array:
    """Least expected minutes of each (unnormalised) row: acting at once, or up to so many steps before that.

    The last step before acting is always a look: repairs one after the other are what acting is.
    """
    best, _ = _act_rows(model, rows, position, MOST_TRIES)
    if further == 0:
        return best
    for k in range(len(position.looks)):
        best = np.minimum(best, _looking(model, rows, position, k, further - 1))
    if further > 1 and position.looks:
        for repair in map(int, np.flatnonzero(position.open_repairs)):
            best = np.minimum(best, _repairing(model, rows, position, repair, further - 1))
    return np.asarray(best)

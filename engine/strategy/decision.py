"""A fault-finding problem as arrays: what may be wrong, what can be done about it, what can be looked at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from engine.inference.belief import NO_CAUSE, Array, Indices, left_wrong

Flags = npt.NDArray[np.bool_]

NONE = NO_CAUSE
TELLS_NOTHING = 1e-14
"""Probabilities that differ by no more than this are the same but for rounding."""
FULL_UPTO = 30_000
"""Sums are taken by a full table of up to so many numbers, which is quicker as long as it is small."""
AT_ONCE = 200_000
"""So many numbers are taken apart at a time for sums without such a table."""


class Sums:
    """What each column of a table counts for: `of` adds them up."""

    def __init__(self, columns: int, into: Sequence[Indices], weight: Array, count: int) -> None:
        """Args: how many columns; for each of them one or several sums of the `count`, NONE for no sum; its weight."""
        self._columns, self._count = columns, count
        sums = np.concatenate(into)
        order = np.argsort(sums, kind="stable")
        order = order[sums[order] >= 0]
        self._places = order % columns
        self._weights = weight[self._places]
        self._sums, self._starts = np.unique(sums[order], return_index=True)
        self._full: Array | None = None
        if columns * count <= FULL_UPTO:
            self._full = np.zeros((columns, count))
            np.add.at(self._full, (self._places, sums[order]), self._weights)

    def of(self, rows: Array) -> Array:
        """The sums of each row, shape (rows, sums)."""
        if self._full is not None:
            return np.asarray(rows @ self._full)
        found = np.zeros((len(rows), self._count))
        # Few rows at a time, so that what is taken apart for them stays small.
        few = max(AT_ONCE // max(len(self._places), 1), 1)
        for start in range(0, len(rows) if len(self._sums) else 0, few):
            taken = rows[start : start + few, self._places]
            taken *= self._weights
            found[start : start + few, self._sums] = np.add.reduceat(taken, self._starts, axis=1)
        return found


@dataclass(frozen=True)
class Look:
    """A check as the strategy sees it.

    `minutes[s]` is what it costs from plant state s, and `leaves[s]` the state it leaves behind: a cover that had to be
    opened stays open. `chance` is P(the person asked can say). `outcomes` has shape (outcomes, hypotheses); its columns
    sum to 1.
    """

    id: str
    minutes: tuple[float, ...]
    outcomes: Array
    chance: float = 1.0
    leaves: tuple[int, ...] = (0, 1)

    @cached_property
    def tells(self) -> bool:
        """Whether some outcome is likelier under one hypothesis than under another; else it moves no belief."""
        return bool((self.outcomes.max(axis=1) - self.outcomes.min(axis=1)).max() > TELLS_NOTHING)


@dataclass(frozen=True, eq=False)
class DecisionModel:
    """Hypotheses, repairs and handing on. All costs in minutes.

    A hypothesis has up to two causes, `first` and `second`, by index; -1 is none. `cures[r, c]` is P(repair r cures
    cause c), independent of the other repairs and causes. From plant state s a repair costs `right[s, r]` where the
    plant works afterwards, `wrong[s, r]` where it does not, and leaves the state `leaves[s, r]`. `hand_on[h]` is what
    giving the job up to somebody who always finds the fault costs, by its causes alone. `choice[c]` is the repair by
    which a cause goes when remedies are compared, as many as there are repairs where it has none. `goes_on[r]`: repair
    r shows at once whether it helped, and the visit goes on; a look that is put off until after another one is not
    taken on this visit.
    `swaps[r]`: repair r is undone where it did not help, the old part goes back.
    """

    first: Indices
    second: Indices
    repairs: tuple[str, ...]
    cures: Array
    right: Array
    wrong: Array
    leaves: Indices
    hand_on: Array
    choice: Indices
    goes_on: Flags
    swaps: Flags

    @cached_property
    def _by_cause(self) -> Sums:
        weight = np.where(self.second >= 0, 0.5, 1.0)
        return Sums(len(self.first), (self.first, self.second), weight, self.cures.shape[1])

    @cached_property
    def _by_choice(self) -> Sums:
        return Sums(len(self.choice), (self.choice,), np.ones(len(self.choice)), len(self.repairs) + 1)

    def by_cause(self, beliefs: Array) -> Array:
        """The shares of the causes in each row of beliefs, shape (rows, causes): a pair is split in halves."""
        return self._by_cause.of(beliefs)

    def by_remedy(self, beliefs: Array, shares: Array | None = None) -> Array:
        """The shares of the remedies in each row of beliefs, shape (rows, repairs + 1); the last is handing on.

        Args: shares, the beliefs by cause, where they were added up already.
        """
        found = self._by_choice.of(self.by_cause(beliefs) if shares is None else shares)
        found[:, -1] += beliefs.sum(axis=1) - found.sum(axis=1)
        return found

    @cached_property
    def knowing(self) -> Array:
        """Minutes for whoever knows the hypothesis and whose repairs all work: a lower bound, shape (hypotheses,)."""
        count = len(self.repairs)
        right = np.append(self.right[0], 0.0)
        one, two = (np.where(causes >= 0, self.choice[causes], NONE) for causes in (self.first, self.second))
        two = np.where(two == one, NONE, two)
        minutes = np.where(one >= 0, right[one], 0.0) + np.where(two >= 0, right[two], 0.0)
        return np.asarray(minutes + np.where((one == count) | (two == count) | (one < 0), self.hand_on, 0.0))

    @cached_property
    def partners(self) -> Indices:
        """The hypothesis of each cause with each other one, and in the last column but one by itself; NONE where there
        is none, and so in the last row and column; shape (causes + 1, causes + 2), laid out in a row."""
        count = self.cures.shape[1]
        places = np.full((count + 1, count + 2), NONE, dtype=np.intp)
        alone, known = np.where(self.second < 0, count, self.second), np.flatnonzero(self.first >= 0)
        places[self.first[known], alone[known]] = known
        pairs = np.flatnonzero(self.second >= 0)
        places[self.second[pairs], self.first[pairs]] = pairs
        return places.ravel()

    @cached_property
    def same_as(self) -> Indices | None:
        """For each hypothesis the last one with the same causes, as `partners` names it; None where no two
        have the same."""
        one, two = np.minimum(self.first, self.second) + 1, np.maximum(self.first, self.second) + 1
        keys = one * (self.cures.shape[1] + 1) + two
        _, back, groups = np.unique(keys[::-1], return_index=True, return_inverse=True)
        last = len(keys) - 1 - back[groups][::-1]
        return None if len(back) == len(keys) else np.asarray(last)

    @cached_property
    def cured(self) -> tuple[Indices, Array]:
        """The causes that each repair cures and how surely, shape (repairs, most that one cures); NONE and 0 beyond."""
        most = max(int((self.cures > 0).sum(axis=1).max(initial=0)), 1)
        order = np.argsort(self.cures <= 0, axis=1, kind="stable")[:, :most]
        sure = np.take_along_axis(self.cures, order, axis=1)
        return np.where(sure > 0, order, NONE), sure

    def only(self, kept: Flags) -> DecisionModel:
        """The same model with only these hypotheses."""
        part = replace(self, first=self.first[kept], second=self.second[kept], hand_on=self.hand_on[kept])
        # What was worked out for all of them holds for these, too.
        same = ("_by_choice", "cured") if self.same_as is not None else ("_by_choice", "cured", "same_as")
        vars(part).update({name: getattr(self, name) for name in same}, knowing=self.knowing[kept])
        return part


def decision_model(
    hypotheses: Sequence[tuple[int, ...]],
    cures: Array,
    right: Array,
    wrong: Array,
    hand_on: Array,
    *,
    repairs: Sequence[str] = (),
    leaves: Indices | None = None,
    choice: Indices | None = None,
    goes_on: Flags | None = None,
    swaps: Flags | None = None,
) -> DecisionModel:
    """Put a model together.

    Args:
        hypotheses: the indices of the causes present, none, one or two of them.
        cures: P(cured), shape (repairs, causes).
        right: minutes where the repair ends the job, shape (repairs,) or (plant states, repairs).
        wrong: minutes where it does not, same shape.
        hand_on: minutes of handing on, by hypothesis.
        repairs: their names; numbers where none are given.
        leaves: plant state after a repair, shape (plant states, repairs); where not given, the state stays.
        choice: by cause, the repair that stands for it; where not given, the one with most chance for its minutes.
        goes_on: whether the visit goes on after a repair; where not given, after every one.
        swaps: whether a repair is undone where it did not help; where not given, none is.
    """
    right, wrong = np.atleast_2d(right), np.atleast_2d(wrong)
    count = len(cures)
    stay = np.repeat(np.arange(len(right))[:, None], count, axis=1)
    best = np.argmax(cures / wrong.min(axis=0)[:, None], axis=0) if count else np.zeros(cures.shape[1], dtype=np.intp)
    usual = np.where(cures.max(axis=0, initial=0.0) > 0, best, count)
    return DecisionModel(
        np.array([h[0] if h else NONE for h in hypotheses], dtype=np.intp),
        np.array([h[1] if len(h) > 1 else NONE for h in hypotheses], dtype=np.intp),
        tuple(repairs) or tuple(map(str, range(count))),
        cures,
        right,
        wrong,
        stay if leaves is None else leaves,
        hand_on,
        usual if choice is None else choice,
        np.ones(count, dtype=bool) if goes_on is None else goes_on,
        np.zeros(count, dtype=bool) if swaps is None else swaps,
    )


def after_failure(model: DecisionModel, beliefs: Array, repair: int) -> Array:
    """What a repair leaves wrong: P(hypothesis, still not working), shape (rows, hypotheses), not normalised."""
    return left_wrong(model.first, model.second, beliefs, model.cures[repair], bool(model.swaps[repair]))

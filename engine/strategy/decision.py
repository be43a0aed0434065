"""A fault-finding problem as arrays: what may be wrong, what can be done about it, what can be looked at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from engine.inference.belief import Array, Indices, left_wrong

Flags = npt.NDArray[np.bool_]

NONE = -1
"""No cause, in the place of a hypothesis' first or second cause."""


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


@dataclass(frozen=True, eq=False)
class DecisionModel:
    """Hypotheses, repairs and handing on. All costs in minutes.

    A hypothesis has up to two causes, `first` and `second`, by index; -1 is none. `cures[r, c]` is P(repair r cures
    cause c), independent of the other repairs and causes. From plant state s a repair costs `right[s, r]` where the
    plant works afterwards, `wrong[s, r]` where it does not, and leaves the state `leaves[s, r]`. `hand_on[h]` is what
    giving the job up to somebody who always finds the fault costs. `choice[c]` is the repair by which a cause goes
    when remedies are compared, as many as there are repairs where it has none. `goes_on[r]`: repair r shows at once
    whether it helped, and the visit goes on; a look that is put off until after another one is not taken on this visit.
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
    def shares(self) -> Array:
        """How a hypothesis counts for its causes, shape (hypotheses, causes): a pair is split in halves."""
        table = np.zeros((len(self.first), self.cures.shape[1]))
        for causes in (self.first, self.second):
            rows = np.flatnonzero(causes >= 0)
            table[rows, causes[rows]] += np.where(self.second[rows] >= 0, 0.5, 1.0)
        return table

    @cached_property
    def remedies(self) -> Array:
        """How a hypothesis counts for the remedies, shape (hypotheses, repairs + 1); the last is handing on."""
        count = len(self.repairs)
        table = np.zeros((len(self.first), count + 1))
        for cause, repair in enumerate(self.choice):
            table[:, repair] += self.shares[:, cause]
        table[:, count] += 1.0 - table.sum(axis=1)
        return table

    @cached_property
    def knowing(self) -> Array:
        """Minutes for whoever knows the hypothesis and whose repairs all work: a lower bound, shape (hypotheses,)."""
        needed = self.remedies > 0
        return np.asarray(needed[:, :-1] @ self.right[0] + needed[:, -1] * self.hand_on)

    def only(self, kept: Flags) -> DecisionModel:
        """The same model with only these hypotheses."""
        return replace(self, first=self.first[kept], second=self.second[kept], hand_on=self.hand_on[kept])


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

"""The exact optimum of a small fault-finding problem, and the exact cost of any policy on it: slow, plain, independent.

Dynamic programming over everything that may be known: which looks gave which answers, which repairs were done. Written
apart from the engine's strategy, for problems with one fault and independent repairs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from engine.inference.belief import Array

Step = tuple[str, int]
"""("look", index), ("repair", index) or ("hand_on", 0)."""

State = tuple[tuple[int, ...], frozenset[int]]
"""The answer to each look, -1 where it was not taken; and the repairs that were done in vain."""


@dataclass(frozen=True, eq=False)
class Problem:
    """One fault. `cures` has shape (repairs, hypotheses); `looks` are tables of shape (answers, hypotheses).

    `undo_cost`: what undoing each repair costs that did not help, a part swapped in; nothing where not given.
    """

    prior: Array
    cures: Array
    repair_cost: Array
    looks: tuple[Array, ...]
    look_cost: Array
    hand_on: float
    undo_cost: Array | None = None

    @property
    def start(self) -> State:
        """Nothing known, nothing done."""
        return (-1,) * len(self.looks), frozenset()

    def weight(self, state: State) -> Array:
        """P(hypothesis, these answers, none of these repairs helped), shape (hypotheses,)."""
        weight = self.prior.copy()
        for table, answer in zip(self.looks, state[0], strict=True):
            if answer >= 0:
                weight = weight * table[answer]
        for repair in state[1]:
            weight = weight * (1.0 - self.cures[repair])
        return weight

    def steps(self, state: State) -> list[Step]:
        """Every step that is open."""
        looks = [("look", k) for k, answer in enumerate(state[0]) if answer < 0]
        return [*looks, *(("repair", r) for r in range(len(self.cures)) if r not in state[1]), ("hand_on", 0)]

    def after(self, state: State, step: Step) -> list[State]:
        """Where a step may lead; a repair leads on only where it did not help."""
        kind, k = step
        answers, done = state
        if kind == "repair":
            return [(answers, done | {k})]
        return [((*answers[:k], a, *answers[k + 1 :]), done) for a in range(len(self.looks[k]))]


def _value(problem: Problem, choose: Callable[[State, Callable[[Step], float]], Step]) -> float:
    @cache
    def value(state: State) -> float:
        mass = float(problem.weight(state).sum())

        def cost(step: Step) -> float:
            if step[0] == "hand_on":
                return mass * problem.hand_on
            own = problem.look_cost if step[0] == "look" else problem.repair_cost
            then = problem.after(state, step)
            undone = 0.0
            if step[0] == "repair" and problem.undo_cost is not None:
                undone = float(problem.weight(then[0]).sum() * problem.undo_cost[step[1]])
            return mass * float(own[step[1]]) + undone + sum(map(value, then))

        return 0.0 if mass <= 1e-15 else cost(choose(state, cost))

    return value(problem.start)


def optimum(problem: Problem) -> float:
    """Least expected cost over all policies."""
    return _value(problem, lambda state, cost: min(problem.steps(state), key=cost))


def cost_of(problem: Problem, policy: Callable[[State], Step]) -> float:
    """Exact expected cost of a policy; only states that it can reach are visited."""
    return _value(problem, lambda state, _cost: policy(state))

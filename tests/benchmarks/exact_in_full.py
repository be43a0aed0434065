"""The exact optimum of a small problem with all that a real one has: two faults at once, a supply that is switched,
people who cannot say, and repairs that cost less where they help. Slow, plain, apart from the engine's strategy.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from engine.inference.belief import Array
from engine.strategy.decision import DecisionModel, Look, decision_model
from engine.strategy.lookahead import Position, next_step
from tests.benchmarks.exact import Step

Faults = frozenset[int]
Weights = tuple[tuple[Faults, float], ...]
"""P(these faults are there, and all that was seen and tried so far), of all that may be wrong."""
PLANTS = (0, 1)
HARDLY = 1e-12


@dataclass(frozen=True)
class Looking:
    """A look: its answers' chances by what is wrong, how often one can say, its minutes and what it leaves by plant."""

    shows: dict[Faults, tuple[float, ...]]
    chance: float
    minutes: tuple[float, float]
    leaves: tuple[int, int]


@dataclass(frozen=True)
class Repairing:
    """A repair: what it cures, its minutes by plant where the plant works after it and where not; it leaves it on."""

    cures: tuple[float, ...]
    right: tuple[float, float]
    wrong: tuple[float, float]


@dataclass(frozen=True)
class Whole:
    """A whole problem; `hand_on` by what is wrong."""

    prior: Weights
    looks: tuple[Looking, ...]
    repairs: tuple[Repairing, ...]
    hand_on: dict[Faults, float]


@dataclass(frozen=True)
class Where:
    """Where a job stands: what may be wrong, the looks and repairs that are open, the plant."""

    weights: Weights
    looks: frozenset[int]
    repairs: frozenset[int]
    plant: int

    @property
    def mass(self) -> float:
        """P(it comes to this)."""
        return sum(weight for _, weight in self.weights)


Choose = Callable[[Where, Callable[[Step], float]], Step]


def least_cost(problem: Whole, choose: Choose | None = None) -> float:
    """Expected minutes of a policy, or of the best there is."""
    known: dict[Where, float] = {}

    def value(where: Where) -> float:
        if where.mass <= HARDLY:
            return 0.0
        if where not in known:
            pick = choose or (lambda at, cost: min(_steps(at), key=cost))
            known[where] = cost_of(where, pick(where, lambda step: cost_of(where, step)))
        return known[where]

    def cost_of(where: Where, step: Step) -> float:
        kind, k = step
        if kind == "hand_on":
            return sum(weight * problem.hand_on[faults] for faults, weight in where.weights)
        if kind == "look":
            own = where.mass * problem.looks[k].minutes[where.plant]
            return own + sum(value(after) for after in _looked(problem, where, k))
        after = _repaired(problem, where, k)
        repair = problem.repairs[k]
        spent = (where.mass - after.mass) * repair.right[where.plant] + after.mass * repair.wrong[where.plant]
        return spent + value(after)

    every = Where(problem.prior, frozenset(range(len(problem.looks))), frozenset(range(len(problem.repairs))), 0)
    return value(every)


def _steps(where: Where) -> list[Step]:
    return [
        *(("look", k) for k in sorted(where.looks)),
        *(("repair", k) for k in sorted(where.repairs)),
        ("hand_on", 0),
    ]


def _looked(problem: Whole, where: Where, k: int) -> Iterator[Where]:
    """After each answer of a look, and after none."""
    look = problem.looks[k]
    left, plant = where.looks - {k}, look.leaves[where.plant]
    for answer in range(len(next(iter(look.shows.values())))):
        seen = tuple((f, round(w * look.chance * look.shows[f][answer], 15)) for f, w in where.weights)
        yield Where(seen, left, where.repairs, plant)
    if look.chance < 1.0:
        unsaid = tuple((f, round(w * (1.0 - look.chance), 15)) for f, w in where.weights)
        yield Where(unsaid, left, where.repairs, plant)


def _repaired(problem: Whole, where: Where, k: int) -> Where:
    """After a repair that has not brought it back: each fault is cured for itself; what is left may be one of two."""
    cures = problem.repairs[k].cures
    left: dict[Faults, float] = {}
    for faults, weight in where.weights:
        for still, chance in _left_of(faults, cures):
            if still or not faults:
                left[still] = left.get(still, 0.0) + weight * chance
    weights = tuple((faults, round(weight, 15)) for faults, weight in sorted(left.items(), key=lambda i: sorted(i[0])))
    return Where(weights, where.looks, where.repairs - {k}, 0)


def _left_of(faults: Faults, cures: tuple[float, ...]) -> Iterator[tuple[Faults, float]]:
    found = [(Faults(), 1.0)]
    for fault in sorted(faults):
        found = [
            (kept, chance * share)
            for still, chance in found
            for kept, share in ((still, cures[fault]), (still | {fault}, 1.0 - cures[fault]))
        ]
    return iter(found)


def the_engines(problem: Whole) -> Choose:
    """The engine's choices on this problem."""
    order = [faults for faults, _ in problem.prior]
    model = _model(problem, order)
    looks = [_look(problem.looks[k], k, order) for k in range(len(problem.looks))]

    def choose(where: Where, _: Callable[[Step], float]) -> Step:
        weights = dict(where.weights)
        belief = np.array([weights.get(faults, 0.0) for faults in order])
        left = sorted(where.looks)
        opened = np.array([k in where.repairs for k in range(len(problem.repairs))])
        at = Position(belief / belief.sum(), tuple(looks[k] for k in left), opened, where.plant)
        kind, k = next_step(model, at)
        return (kind, left[k]) if kind == "look" else (kind, k)

    return choose


def _model(problem: Whole, order: list[Faults]) -> DecisionModel:
    def by_plant(name: str) -> Array:
        return np.array([[getattr(repair, name)[plant] for repair in problem.repairs] for plant in PLANTS])

    return decision_model(
        [tuple(sorted(faults)) for faults in order],
        np.array([repair.cures for repair in problem.repairs]),
        by_plant("right"),
        by_plant("wrong"),
        np.array([problem.hand_on[faults] for faults in order]),
        leaves=np.zeros((len(PLANTS), len(problem.repairs)), dtype=np.intp),
    )


def _look(look: Looking, k: int, order: list[Faults]) -> Look:
    table = np.array([look.shows[faults] for faults in order]).T
    return Look(str(k), look.minutes, table, look.chance, look.leaves)


def whole_problem(rng: np.random.Generator, causes: int, looks: int) -> Whole:
    """At random, as real ones are: one fault in four calls of five, two at once in one of ten, one unknown in ten.

    A repair costs 1 to 20 minutes and half to four times as much again where it does not help; half of looks and
    repairs need the supply off, which takes 3 minutes from on; one can say what a look shows in 60 to 100 of 100.
    """
    singles = [frozenset({k}) for k in range(causes)]
    pairs = [frozenset({0, 1}), frozenset({1, 2})]
    order = [*singles, *pairs, Faults()]
    shares = [*(0.8 * rng.dirichlet(np.ones(causes))), *(0.1 * rng.dirichlet(np.ones(len(pairs)))), 0.1]
    return Whole(
        tuple(zip(order, map(float, shares), strict=True)),
        tuple(_any_look(rng, order) for _ in range(looks)),
        tuple(_any_repair(rng, k, causes) for k in range(causes)),
        {faults: 60.0 + 15.0 * len(faults) for faults in order},
    )


def _any_look(rng: np.random.Generator, order: list[Faults]) -> Looking:
    shown = {k for k in range(len(order)) if rng.random() < 0.5}
    yes = {f: float(rng.uniform(0.8, 1.0) if f & shown else rng.uniform(0.0, 0.2)) for f in order}
    minutes, off = float(rng.uniform(0.5, 3.0)), rng.random() < 0.5
    return Looking(
        {faults: (chance, 1.0 - chance) for faults, chance in yes.items()},
        float(rng.uniform(0.6, 1.0)),
        (minutes + 3.0 * off, minutes),
        (1, 1) if off else (0, 1),
    )


def _any_repair(rng: np.random.Generator, k: int, causes: int) -> Repairing:
    cures = tuple(float(rng.uniform(0.8, 1.0)) if c == k else 0.0 for c in range(causes))
    right, off = float(rng.uniform(1.0, 20.0)), rng.random() < 0.5
    wrong = right * float(rng.uniform(1.5, 5.0))
    return Repairing(cures, (right + 3.0 * off, right), (wrong + 3.0 * off, wrong))

"""M1, and M6 on the same problems: the engine's choices against the exact optimum, and under wrong probabilities."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from engine.inference.belief import Array
from engine.strategy.decision import DecisionModel, Look, decision_model
from engine.strategy.lookahead import Position
from tests.benchmarks.exact import Problem, State, Step, cost_of, optimum
from tests.benchmarks.policies import (
    Policy,
    cheapest_first,
    expected_minutes,
    information_first,
    ours,
    random_order,
    repairs_only,
)
from tests.benchmarks.scoring import bootstrap, ratio_interval

CALL_SERVICE = 60.0


@dataclass(frozen=True)
class Gap:
    """Relative distance from the optimum over many problems, in percent; `interval` is that of the mean."""

    policy: str
    mean: float
    interval: tuple[float, float]
    p95: float
    most: float


def random_problem(rng: np.random.Generator, causes: int, checks: int) -> Problem:
    """One fault; Dirichlet(1) prior, repairs of 1 to 20 that work in 80 to 100 % of cases, noisy yes-or-no looks."""
    tables = []
    for _ in range(checks):
        shows = rng.random(causes) < 0.5
        yes = np.where(shows, rng.uniform(0.8, 1.0, causes), rng.uniform(0.0, 0.2, causes))
        tables.append(np.stack([yes, 1.0 - yes]))
    return Problem(
        rng.dirichlet(np.ones(causes)),
        np.diag(rng.uniform(0.8, 1.0, causes)),
        rng.uniform(1.0, 20.0, causes),
        tuple(tables),
        rng.uniform(0.5, 3.0, checks),
        CALL_SERVICE,
    )


def position_of(problem: Problem) -> tuple[DecisionModel, Position]:
    """The same problem in the form that the engine works on."""
    causes = len(problem.prior)
    cost = problem.repair_cost
    undo = np.zeros(len(cost)) if problem.undo_cost is None else problem.undo_cost
    model = decision_model(
        [(k,) for k in range(causes)],
        problem.cures,
        cost,
        cost + undo,
        np.full(causes, problem.hand_on),
        swaps=undo > 0,
    )
    looks = tuple(
        Look(str(k), (float(c),), table)
        for k, (table, c) in enumerate(zip(problem.looks, problem.look_cost, strict=True))
    )
    return model, Position(problem.prior, looks, np.ones(causes, dtype=bool))


def gaps(causes: int, checks: int, cases: int, seed: int = 20) -> list[Gap]:
    """The gap of every policy over the same random problems."""
    rng = np.random.default_rng(seed)
    policies: dict[str, Policy] = {
        "ours": ours,
        "chance over cost, no looks": repairs_only,
        "information first": information_first,
        "cheapest first": cheapest_first,
        "random order": random_order(seed),
    }
    found: dict[str, list[float]] = {name: [] for name in policies}
    for _ in range(cases):
        problem = random_problem(rng, causes, checks)
        best = optimum(problem)
        model, position = position_of(problem)
        for name, policy in policies.items():
            found[name].append(100.0 * (expected_minutes(model, position, policy) / best - 1.0))
    return [_gap(name, np.array(values)) for name, values in found.items()]


def cost_rise(causes: int, checks: int, cases: int, noise: float, seed: int = 25) -> tuple[float, tuple[float, float]]:
    """Percent by which calls cost more where prior, looks and repairs are believed with log10-odds noise; interval."""
    rng = np.random.default_rng(seed)
    right, wrong = [], []
    for _ in range(cases):
        problem = random_problem(rng, causes, checks)
        right.append(cost_of(problem, believing(problem)))
        wrong.append(cost_of(problem, believing(misjudged(problem, noise, rng))))
    ratio, (low, high) = ratio_interval(np.array(wrong), np.array(right))
    return 100.0 * (ratio - 1.0), (100.0 * (low - 1.0), 100.0 * (high - 1.0))


def misjudged(problem: Problem, noise: float, rng: np.random.Generator) -> Problem:
    """The problem as somebody sees it whose probabilities carry normal noise of this sd on their base-10 log odds."""

    def moved(shares: Array) -> Array:
        safe = np.clip(shares, 1e-12, 1.0 - 1e-12)
        odds = safe / (1.0 - safe) * 10.0 ** rng.normal(0.0, noise, safe.shape)
        return np.where((shares <= 0.0) | (shares >= 1.0), shares, odds / (1.0 + odds))

    prior = moved(problem.prior)
    looks = [moved(table[0]) for table in problem.looks]
    return replace(
        problem,
        prior=prior / prior.sum(),
        cures=moved(problem.cures),
        looks=tuple(np.stack([yes, 1.0 - yes]) for yes in looks),
    )


def believing(believed: Problem) -> Callable[[State], Step]:
    """The engine's choices for somebody who believes this problem."""
    model, start = position_of(believed)

    def choose(state: State) -> Step:
        weight = believed.weight(state)
        taken = [k for k, answer in enumerate(state[0]) if answer >= 0]
        opened = start.open_repairs.copy()
        opened[list(state[1])] = False
        left = [k for k in range(len(believed.looks)) if k not in taken]
        looks = tuple(start.looks[k] for k in left)
        kind, k = ours(model, Position(weight / weight.sum(), looks, opened))
        return (kind, left[k]) if kind == "look" else (kind, k)

    return choose


def _gap(name: str, values: Array) -> Gap:
    return Gap(name, float(values.mean()), bootstrap(values), float(np.quantile(values, 0.95)), float(values.max()))

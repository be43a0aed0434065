"""M1: how far the engine's choices are from the exact optimum, on random fault-finding problems small enough for it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engine.belief import Array
from engine.strategy.decision import DecisionModel, Look, decision_model
from engine.strategy.lookahead import Position
from tests.benchmarks.exact import Problem, optimum
from tests.benchmarks.policies import (
    Policy,
    cheapest_first,
    expected_minutes,
    information_first,
    ours,
    random_order,
    repairs_only,
)
from tests.benchmarks.scoring import bootstrap

__all__ = ["Gap", "gaps", "random_problem"]

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
    model = decision_model([(k,) for k in range(causes)], problem.cures, cost, cost, np.full(causes, problem.hand_on))
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


def _gap(name: str, values: Array) -> Gap:
    return Gap(name, float(values.mean()), bootstrap(values), float(np.quantile(values, 0.95)), float(values.max()))

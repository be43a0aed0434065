"""M2, M3, M5, M6: what drawn calls on the shipped trees cost, and how true the claims at the stop are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from engine.inference.belief import Array
from engine.strategy.decision import DecisionModel
from engine.strategy.lookahead import Position
from tests.benchmarks.policies import (
    Policy,
    cheapest_first,
    information_first,
    ours,
    random_order,
    repairs_only,
)
from tests.benchmarks.scoring import bootstrap, brier_parts, calibration_error, ratio_interval
from tests.benchmarks.shipped import Case, Setting, draw, follow, noisy, settings, settle, written_order

CASES_A_DRAW = 5
"""So many cases meet the same wrong probabilities before they are drawn anew."""


@dataclass(frozen=True)
class Costs:
    """Minutes by policy, shape (settings, cases); every policy met the same cases. Settings count alike."""

    minutes: dict[str, Array]

    @property
    def cases(self) -> int:
        """Cases over all settings."""
        return self.minutes["ours"].size

    def mean(self, policy: str) -> float:
        """Mean minutes of a policy."""
        return float(self.minutes[policy].mean())

    def ratio(self, policy: str) -> tuple[float, tuple[float, float]]:
        """Mean minutes of a policy over ours, and its interval."""
        return ratio_interval(self.minutes[policy].ravel(), self.minutes["ours"].ravel())

    def lowest(self, policy: str) -> float:
        """The same ratio in the setting where it is lowest."""
        return float((self.minutes[policy].mean(axis=1) / self.minutes["ours"].mean(axis=1)).min())


@dataclass(frozen=True)
class Stops:
    """Claims at the stop over many cases: `claimed` is the mean probability of the hypothesis named first.

    `by_chance` is the calibration error that true claims would show over so few cases.
    """

    cases: int
    top1: float
    claimed: float
    standard_error: float
    calibration: float
    interval: tuple[float, float]
    by_chance: float
    brier: float
    rival_top1: float


def costs(cases: int, seed: int = 30) -> Costs:
    """So many drawn cases in every tree and role, followed to the end by every policy."""
    makers: dict[str, Callable[[Setting, Case], Policy]] = {
        "ours": lambda _s, _c: ours,
        "cheapest first": lambda _s, _c: cheapest_first,
        "random order": lambda _s, c: random_order(int(c.cured[0, 0] * 2**31)),
        "written steps": lambda s, _c: written_order(s),
        "repairs only": lambda _s, _c: repairs_only,
        "information first": lambda _s, _c: information_first,
        "clairvoyant": lambda s, c: _clairvoyant(s, c),
    }
    drawn = [(where, _draw(where, cases, seed + k)) for k, where in enumerate(settings())]
    return Costs(
        {
            name: np.array([[follow(w, w, c, make(w, c)) for c in group] for w, group in drawn])
            for name, make in makers.items()
        }
    )


def cost_rise(cases: int, noise: float, seed: int = 60) -> tuple[float, tuple[float, float], int]:
    """By how many percent calls cost more where the engine believes wrong probabilities; with interval and cases."""
    right, wrong = [], []
    for k, where in enumerate(settings()):
        rng = np.random.default_rng(seed + k)
        believed = where
        for number, case in enumerate(_draw(where, cases, seed + k)):
            believed = noisy(where, noise, rng) if number % CASES_A_DRAW == 0 else believed
            right.append(follow(where, where, case, ours))
            wrong.append(follow(where, believed, case, ours))
    ratio, (low, high) = ratio_interval(np.array(wrong), np.array(right))
    return 100.0 * (ratio - 1.0), (100.0 * (low - 1.0), 100.0 * (high - 1.0)), len(right)


def stops(cases: int, noise: float, rival: bool, seed: int = 40) -> Stops:
    """Ask until nothing pays, in drawn cases of every tree and role, and hold the claims against the truth."""
    claims: list[float] = []
    right: list[bool] = []
    others: list[bool] = []
    for k, where in enumerate(settings()):
        rng = np.random.default_rng(seed + k)
        believed = where
        for number, case in enumerate(_draw(where, cases, seed + k)):
            believed = noisy(where, noise, rng) if noise and number % CASES_A_DRAW == 0 else believed
            belief, minutes = settle(believed, where, case)
            claims.append(float(belief.max()))
            right.append(int(belief.argmax()) == case.hypothesis)
            if rival:
                theirs, _ = settle(believed, where, case, most=minutes)
                others.append(int(theirs.argmax()) == case.hypothesis)
    both = np.stack([np.array(claims), np.array(right, dtype=float)], axis=1)
    reliability, resolution, uncertainty = brier_parts(claims, right)
    spread = float(np.sqrt((both[:, 0] * (1.0 - both[:, 0])).sum())) / len(both)
    return Stops(
        len(both),
        float(both[:, 1].mean()),
        float(both[:, 0].mean()),
        spread,
        calibration_error(claims, right),
        bootstrap(both, lambda a: calibration_error(a[:, 0].tolist(), a[:, 1].astype(bool).tolist())),
        _error_by_chance(both[:, 0]),
        reliability - resolution + uncertainty,
        float(np.mean(others)) if others else float("nan"),
    )


def _error_by_chance(claims: Array, repeats: int = 100) -> float:
    rng = np.random.default_rng(1)
    drawn = [calibration_error(claims.tolist(), (rng.random(len(claims)) < claims).tolist()) for _ in range(repeats)]
    return float(np.mean(drawn))


def _draw(where: Setting, cases: int, seed: int) -> list[Case]:
    rng = np.random.default_rng(seed)
    return [draw(where, rng) for _ in range(cases)]


def _clairvoyant(where: Setting, case: Case) -> Policy:
    """Repairs as one would who knows what is wrong."""
    sure = np.zeros(len(where.prior))
    sure[case.hypothesis] = 1.0

    def choose(model: DecisionModel, position: Position) -> tuple[str, int]:
        return repairs_only(model, Position(sure, (), position.open_repairs, position.plant))

    return choose

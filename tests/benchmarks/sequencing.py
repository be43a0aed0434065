"""M4: number of checks to name the cause where checks do not err, against the exact optimum over the same checks."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from engine.inference.belief import Array
from engine.strategy.decision import Look, decision_model
from engine.strategy.lookahead import Position, next_step
from tests.benchmarks.policies import after_look
from tests.benchmarks.scoring import huffman_length
from tests.benchmarks.shipped import KNOWLEDGE
from tests.shipped import models

WRONG_MINUTES = 1000.0
"""So much a wrong remedy costs that whoever can still tell causes apart asks on."""
MOST_CHECKS = 14
"""So many of the checks, those that tell most, are kept: the exact optimum over more takes too long."""


@dataclass(frozen=True)
class Sequencing:
    """Expected numbers of checks on one tree: ours, the exact optimum, and Huffman's, were every question allowed."""

    tree: str
    ours: float
    optimum: float
    huffman: float


def sequencing(tree: str) -> Sequencing:
    """The single causes of a tree, every check as if it always showed the cause's likeliest answer."""
    model = models().tree(tree)
    single = [k for k, h in enumerate(model.hypotheses) if len(h) == 1]
    prior = model.prior[single] / model.prior[single].sum()
    shown = [model.tables[c][:, single].argmax(axis=0) for c in KNOWLEDGE.checks]
    telling = [s for s in {tuple(map(int, s)) for s in shown} if len(set(s)) > 1]
    telling.sort(key=lambda s: (-_entropy(prior, s), s))
    prior, answers = _told_apart(prior, telling[:MOST_CHECKS])
    ways = max(len(set(s)) for s in answers)
    return Sequencing(tree, _ours(prior, answers), _optimum(prior, answers), huffman_length(prior.tolist(), ways))


def _entropy(prior: Array, shown: tuple[int, ...]) -> float:
    shares = np.bincount(shown, prior)
    return float(-(shares[shares > 0] * np.log2(shares[shares > 0])).sum())


def _told_apart(prior: Array, shown: list[tuple[int, ...]]) -> tuple[Array, list[tuple[int, ...]]]:
    """Causes that no check tells apart become one."""
    patterns: dict[tuple[int, ...], float] = {}
    for k, share in enumerate(prior):
        key = tuple(s[k] for s in shown)
        patterns[key] = patterns.get(key, 0.0) + float(share)
    return np.array(list(patterns.values())), [tuple(key[c] for key in patterns) for c in range(len(shown))]


def _optimum(prior: Array, answers: list[tuple[int, ...]]) -> float:
    """Least expected number of checks, by dynamic programming over the sets of causes that may still be."""

    @cache
    def value(left: frozenset[int]) -> float:
        if len(left) == 1:
            return 0.0
        mass = sum(float(prior[k]) for k in left)
        best = np.inf
        for shown in answers:
            parts: dict[int, list[int]] = {}
            for k in left:
                parts.setdefault(shown[k], []).append(k)
            if len(parts) > 1:
                best = min(best, mass + sum(value(frozenset(part)) for part in parts.values()))
        return float(best)

    return value(frozenset(range(len(prior))))


def _ours(prior: Array, answers: list[tuple[int, ...]]) -> float:
    """Expected number of checks that the engine takes where a check costs 1 and a wrong remedy very much."""
    count = len(prior)
    model = decision_model(
        [(k,) for k in range(count)],
        np.eye(count),
        np.zeros(count),
        np.full(count, WRONG_MINUTES),
        np.full(count, WRONG_MINUTES),
    )
    looks = tuple(
        Look(str(c), (1.0,), np.array([[float(s == a) for s in shown] for a in sorted(set(shown))]))
        for c, shown in enumerate(answers)
    )

    def checks(position: Position) -> float:
        mass = float(position.belief.sum())
        if mass == 0.0:
            return 0.0
        kind, k = next_step(model, Position(position.belief / mass, position.looks, position.open_repairs))
        if kind != "look":
            return 0.0 if position.belief.max() == mass else np.inf
        return mass + sum(checks(after_look(position, k, a)) for a in range(len(position.looks[k].outcomes)))

    return checks(Position(prior, looks, np.ones(count, dtype=bool)))

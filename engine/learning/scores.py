"""How good the guesses were: how often the first was right, Brier and log score, and whether what was promised came.

Shares have Wilson's interval (Wilson 1927), means the normal one; both of 95 %. The reliability diagram is CORP
(Dimitriadis, Gneiting & Jordan 2021): what came true is fitted by isotonic regression to what was promised, and the
Brier score is parted into miscalibration, discrimination and uncertainty. All from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

Z = 1.959964
"""The 97.5 % point of the standard normal distribution."""
LEAST_PROBABILITY = 1e-6
"""No log score counts less than this probability, so that one impossible job does not outweigh all others."""


@dataclass(frozen=True)
class Estimate:
    """A figure with its interval of 95 %."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class ReliabilityStep:
    """Guesses of a range of promises to which isotonic regression gives one share: how many, and what came true."""

    promised_from: float
    promised_to: float
    guesses: int
    came_true: float


@dataclass(frozen=True)
class Reliability:
    """A reliability diagram, and the mean Brier score in its parts: miscalibration - discrimination + uncertainty."""

    steps: tuple[ReliabilityStep, ...]
    brier: float
    miscalibration: float
    discrimination: float
    uncertainty: float


def share(hits: float, of: float) -> Estimate:
    """A share of 1 with Wilson's interval; of nothing, all is possible."""
    if of <= 0:
        return Estimate(math.nan, 0.0, 1.0)
    p, z2 = hits / of, Z * Z
    middle = (p + z2 / (2 * of)) / (1 + z2 / of)
    half = Z / (1 + z2 / of) * math.sqrt(p * (1 - p) / of + z2 / (4 * of * of))
    return Estimate(p, min(p, max(0.0, middle - half)), max(p, min(1.0, middle + half)))


def mean(values: Sequence[float]) -> Estimate:
    """A mean with its normal interval."""
    count = len(values)
    if not count:
        return Estimate(math.nan, math.nan, math.nan)
    middle = math.fsum(values) / count
    if count == 1:
        return Estimate(middle, -math.inf, math.inf)
    variance = math.fsum((value - middle) ** 2 for value in values) / (count - 1)
    half = Z * math.sqrt(variance / count)
    return Estimate(middle, middle - half, middle + half)


def brier(belief: Sequence[float], true: int) -> float:
    """The squared distance of a belief from what was so, 0 the best and 2 the worst. Source: Brier 1950."""
    return math.fsum((p - (place == true)) ** 2 for place, p in enumerate(belief))


def log_score(belief: Sequence[float], true: int) -> float:
    """-log2 of the probability that what was so had, in bits. Source: Good 1952."""
    return -math.log2(max(belief[true], LEAST_PROBABILITY))


def isotonic(promised: Sequence[float], came: Sequence[float]) -> Array:
    """The rising shares nearest to what came true, by pool adjacent violators, in the order given.

    Guesses of the same promise get the same share. Source: Ayer and others 1955.
    """
    levels, place = np.unique(np.asarray(promised, dtype=float), return_inverse=True)
    counts = np.bincount(place, minlength=len(levels))
    totals = np.bincount(place, weights=np.asarray(came, dtype=float), minlength=len(levels))
    blocks: list[tuple[float, int, int]] = []
    for total, count in zip(totals.tolist(), counts.tolist(), strict=True):
        wide = 1
        while blocks and blocks[-1][0] / blocks[-1][1] >= total / count:
            former = blocks.pop()
            total, count, wide = former[0] + total, former[1] + count, former[2] + wide
        blocks.append((total, count, wide))
    fitted = [total / count for total, count, wide in blocks for _ in range(wide)]
    return np.asarray(fitted, dtype=float)[place]


def reliability(promised: Sequence[float], came: Sequence[bool]) -> Reliability | None:
    """The diagram of guesses that were promised with these probabilities; None where there is none."""
    if not promised:
        return None
    p, y = np.asarray(promised, dtype=float), np.asarray(came, dtype=float)
    fitted, overall = isotonic(p.tolist(), y.tolist()), float(y.mean())
    score, best, flat = (float(np.mean((q - y) ** 2)) for q in (p, fitted, np.full(len(y), overall)))
    steps = []
    for level in sorted(set(fitted.tolist())):
        those = fitted == level
        steps.append(ReliabilityStep(float(p[those].min()), float(p[those].max()), int(those.sum()), level))
    return Reliability(tuple(steps), score, score - best, flat - best, flat)

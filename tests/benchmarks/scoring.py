"""Scores and intervals: calibration, Brier score with its parts, bootstrap intervals, Huffman lengths."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Callable, Sequence

import numpy as np

from engine.inference.belief import Array

RESAMPLES = 1000


def calibration_error(claimed: Sequence[float], right: Sequence[bool], bins: int = 10) -> float:
    """Expected calibration error: mean distance of claimed from found share, over bins of equal width, by cases."""
    claims, found = np.array(claimed), np.array(right, dtype=float)
    place = np.minimum((claims * bins).astype(int), bins - 1)
    gaps = [abs(float(claims[place == b].mean() - found[place == b].mean())) * (place == b).mean() for b in set(place)]
    return float(sum(gaps))


def brier_parts(claimed: Sequence[float], right: Sequence[bool]) -> tuple[float, float, float]:
    """Reliability, resolution, uncertainty; the Brier score is the first less the second plus the third.

    Source: Murphy 1973 (from memory), over groups of equal forecasts.
    """
    claims, found = np.array(claimed), np.array(right, dtype=float)
    base = float(found.mean())
    groups = [(float((claims == c).mean()), float(c), float(found[claims == c].mean())) for c in np.unique(claims)]
    reliability = sum(share * (claim - seen) ** 2 for share, claim, seen in groups)
    resolution = sum(share * (seen - base) ** 2 for share, _, seen in groups)
    return reliability, resolution, base * (1.0 - base)


def bootstrap(
    values: Array, statistic: Callable[[Array], float] = lambda a: float(a.mean()), seed: int = 1
) -> tuple[float, float]:
    """95 % percentile interval of a statistic of `values`, shape (cases, ...), by resampling cases."""
    rng = np.random.default_rng(seed)
    found = [statistic(values[rng.integers(len(values), size=len(values))]) for _ in range(RESAMPLES)]
    return float(np.quantile(found, 0.025)), float(np.quantile(found, 0.975))


def ratio_interval(above: Array, below: Array) -> tuple[float, tuple[float, float]]:
    """Ratio of two means over the same cases, and its interval."""

    def ratio(pairs: Array) -> float:
        return float(pairs[:, 0].mean() / pairs[:, 1].mean())

    both = np.stack([above, below], axis=1)
    return ratio(both), bootstrap(both, ratio)


def huffman_length(shares: Sequence[float], ways: int = 2) -> float:
    """Least expected number of noise-free questions with so many answers, were every question allowed.

    Source: Huffman 1952 (from memory); for more than two answers the list is filled up with empty shares.
    """
    count = itertools.count()
    heap = [(float(p), next(count)) for p in shares]
    while len(heap) > 1 and (len(heap) - 1) % (ways - 1):
        heap.append((0.0, next(count)))
    heapq.heapify(heap)
    length = 0.0
    while len(heap) > 1:
        together = sum(heapq.heappop(heap)[0] for _ in range(min(ways, len(heap))))
        length += together
        heapq.heappush(heap, (together, next(count)))
    return length

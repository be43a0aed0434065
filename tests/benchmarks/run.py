"""Measure what the engine's choices and beliefs are worth: `python tests/benchmarks/run.py [M1 ...] [--quick]`.

Every metric is printed beside its target and its rivals; seeds are fixed, rivals meet the same cases, and intervals
are 95 % bootstrap intervals. `--json FILE` writes the same as data.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from multiprocessing import get_context
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np

from tests.benchmarks import costs_of_calls, exact_in_full, sequencing, small_models, speed
from tests.benchmarks.scoring import bootstrap
from tests.benchmarks.shipped import KNOWLEDGE

MOST_OPTIMA = 300
"""So many problems are solved exactly, at most."""
MOST_WHOLE = 60
"""And so many that have all that real ones have: each takes seconds."""
QUICK = 3
"""Cases a setting where it must be quick; there are fifteen settings."""
TOO_FEW = "too few cases to judge"


@dataclass(frozen=True)
class Line:
    """One figure: what it is, its value, its target where it has one, whether it is met, what stands beside it."""

    metric: str
    name: str
    value: float
    target: str = ""
    met: bool | None = None
    beside: str = ""


def m1(cases: int) -> list[Line]:
    """Gap to the exact optimum."""
    lines = []
    sizes = ((5, 3, max(cases, 25), 0.3, (2.0, 5.0)), (6, 4, max(cases, 8), 0.6, None))
    for causes, checks, number, mean, tails in sizes:
        ours, *rivals = small_models.gaps(causes, checks, min(number, MOST_OPTIMA))
        low, high = ours.interval
        beside = f"95 % {low:.2f} to {high:.2f}; " + "; ".join(f"{r.policy} {r.mean:.1f} %" for r in rivals)
        name = f"mean gap in %, {causes} causes, {checks} checks, {min(number, MOST_OPTIMA)} problems"
        lines.append(Line("M1", name, ours.mean, f"<= {mean}", ours.mean <= mean, beside))
        if tails is not None:
            lines.append(Line("M1", "  95th percentile", ours.p95, f"<= {tails[0]}", ours.p95 <= tails[0]))
            lines.append(Line("M1", "  largest", ours.most, f"<= {tails[1]}", ours.most <= tails[1]))
    return [*lines, *_m1_in_full(min(cases, MOST_WHOLE))]


def _m1_in_full(cases: int) -> list[Line]:
    """The same where two faults may come together, the supply is switched, and not everybody can say."""
    rng, gaps = np.random.default_rng(21), []
    for _ in range(cases):
        problem = exact_in_full.whole_problem(rng, 4, 3)
        best = exact_in_full.least_cost(problem)
        gaps.append(100.0 * (exact_in_full.least_cost(problem, exact_in_full.the_engines(problem)) / best - 1.0))
    low, high = bootstrap(np.array(gaps))
    name = f"mean gap in %, all that real ones have, 4 causes, 3 checks, {cases} problems"
    beside = f"95 % {low:.2f} to {high:.2f}; largest {max(gaps):.2f}"
    mean = float(np.mean(gaps))
    return [Line("M1", name, mean, "<= 0.6", mean <= 0.6, beside)]


def m2(cases: int) -> list[Line]:
    """Mean cost on the shipped trees against rivals."""
    found = costs_of_calls.costs(cases)
    lines = []
    for rival, target in (("cheapest first", 2.0), ("random order", 3.0)):
        ratio, interval = found.ratio(rival)
        beside = f"95 % {interval[0]:.2f} to {interval[1]:.2f}; lowest of the settings {found.lowest(rival):.2f}"
        lines.append(Line("M2", f"{rival} / ours, {found.cases} cases", ratio, f">= {target}", ratio >= target, beside))
    for rival in ("written steps", "repairs only", "information first", "clairvoyant"):
        ratio, interval = found.ratio(rival)
        lines.append(Line("M2", f"{rival} / ours", ratio, beside=f"95 % {interval[0]:.2f} to {interval[1]:.2f}"))
    lines.append(Line("M2", "ours, minutes", found.mean("ours")))
    return lines


def m3(cases: int) -> list[Line]:
    """Top-1 at the stop against what was claimed for it."""
    found = costs_of_calls.stops(cases, noise=0.0, rival=True)
    off = abs(found.top1 - found.claimed)
    return [
        Line(
            "M3",
            f"top-1 less claimed, {found.cases} cases",
            off,
            f"<= {found.standard_error:.4f} (one s.e.)",
            off <= found.standard_error,
            f"top-1 {found.top1:.3f}, claimed {found.claimed:.3f}; "
            f"information-gain asker, equal minutes: {found.rival_top1:.3f}",
        )
    ]


def m4(_cases: int) -> list[Line]:
    """Number of checks where checks do not err."""
    lines = []
    for tree in KNOWLEDGE.trees:
        found = sequencing.sequencing(tree)
        ratio = found.ours / found.optimum
        beside = f"ours {found.ours:.3f}, optimum {found.optimum:.3f}, Huffman {found.huffman:.3f}"
        lines.append(Line("M4", f"checks / optimum, {tree}", ratio, "<= 1.05", ratio <= 1.05, beside))
    return lines


def m5(cases: int) -> list[Line]:
    """Calibration, with the right model and with wrong probabilities; not judged where chance alone is half the target.

    The error is a mean of distances, so chance adds to it and never takes away: what true claims would show over so
    many cases stands beside it.
    """
    lines = []
    for noise, target in ((0.0, 0.02), (0.25, 0.05)):
        found = costs_of_calls.stops(cases, noise=noise, rival=False, seed=50)
        low, high = found.interval
        beside = f"95 % {low:.3f} to {high:.3f}; true claims by chance {found.by_chance:.3f}; Brier {found.brier:.3f}"
        met = found.calibration <= target if found.by_chance <= target / 2 else None
        name = f"calibration error, log10-odds noise {noise}, {found.cases} cases"
        lines.append(Line("M5", name, found.calibration, f"<= {target}", met, _told(beside, met)))
    return lines


def m6(cases: int) -> list[Line]:
    """Cost of wrong probabilities; not judged where the interval is wider than the target either way.

    The noise is on base-10 log odds, as in Pradhan, Henrion and others 1996 (the base from memory): 2.3 times
    as much as the same figure on natural log odds, which stands beside it. The small problems are those on which the
    targets' own figures, 2.6 and 12.1 %, were found.
    """
    lines = []
    for noise, target in ((0.25, 2.5), (0.5, 12.0)):
        rise, (low, high), drawn = costs_of_calls.cost_rise(cases, noise)
        milder, (least, most), _ = costs_of_calls.cost_rise(cases, noise / math.log(10.0))
        beside = f"95 % {low:.1f} to {high:.1f}; natural log odds {milder:.1f} %, 95 % {least:.1f} to {most:.1f}"
        name = f"cost rise in %, log10-odds noise {noise}, {drawn} cases"
        met = rise <= target if high - low <= 2 * target else None
        lines.append(Line("M6", name, rise, f"<= {target}", met, _told(beside, met)))
        problems = max(QUICK, min(cases, MOST_OPTIMA))
        small, (low, high) = small_models.cost_rise(5, 3, problems, noise)
        name = f"  the same on {problems} small problems, exact"
        lines.append(Line("M6", name, small, f"<= {target}", None, f"95 % {low:.1f} to {high:.1f}"))
    return lines


def _told(beside: str, met: bool | None) -> str:
    return beside if met is not None else f"{TOO_FEW}; {beside}"


def m7(cases: int) -> list[Line]:
    """Difference from pyAgrum."""
    sets = min(1000, 50 * cases)
    worst = speed.largest_difference(sets)
    return [Line("M7", f"largest difference from pyAgrum, {sets} evidence sets", worst, "<= 1e-12", worst <= 1e-12)]


def m8(_cases: int) -> list[Line]:
    """Speed and growth."""
    times = speed.posterior_ms(55)
    beside = "; ".join(f"{name} {ms:.3f} ms" for name, ms in times.items() if name != "ours")
    if "pgmpy" not in times:
        beside += "; pgmpy NOT MEASURED: it is not installed here"
    median, p95 = speed.next_step_ms(2)
    lines = [
        Line("M8", "posterior in ms, 465 hypotheses", times["ours"], "<= 1", times["ours"] <= 1.0, beside),
        Line("M8", "next step in ms, shipped size", median, "<= 100", p95 <= 100.0, f"95th percentile {p95:.1f} ms"),
    ]
    for size, count, belief, step in speed.growth((40, 100, 200, 400)):
        kind = "with all pairs" if count > size else "single causes"
        lines.append(
            Line(
                "M8",
                f"next step in ms, {size} causes and checks",
                step,
                beside=f"{count} hypotheses ({kind}); posterior {belief:.3f} ms",
            )
        )
    return lines


METRICS: dict[str, Callable[[int], list[Line]]] = {
    "M1": m1,
    "M2": m2,
    "M3": m3,
    "M4": m4,
    "M5": m5,
    "M6": m6,
    "M7": m7,
    "M8": m8,
}


def _measure(name: str, cases: int) -> list[Line]:
    return METRICS[name](cases)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the metrics named, all by default; 1 where a target is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "metrics", nargs="*", metavar="M1", choices=[*METRICS, []], help="which metrics; all by default"
    )
    parser.add_argument("--quick", action="store_true", help="fewer cases, all metrics, under a minute on two cores")
    parser.add_argument("--cases", type=int, default=1000, metavar="N", help="cases a setting, 1000 by default")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write the figures as JSON")
    chosen = parser.parse_args(arguments)
    cases = QUICK if chosen.quick else chosen.cases
    wanted = chosen.metrics or list(METRICS)
    begun = time.perf_counter()
    # Speed is measured alone, after everything else.
    together = [name for name in wanted if name != "M8"]
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        found = dict(zip(together, pool.map(_measure, together, [cases] * len(together)), strict=True))
    lines = [line for name in wanted for line in (found.get(name) or _measure(name, cases))]
    for line in lines:
        mark = {True: "met", False: "MISSED", None: ""}[line.met]
        sys.stdout.write(
            f"{line.metric}  {line.name}: {line.value:.4g}  {line.target}  {mark}  {line.beside}".rstrip() + "\n"
        )
    sys.stdout.write(f"{time.perf_counter() - begun:.0f} s\n")
    if chosen.json is not None:
        chosen.json.write_text(json.dumps([asdict(line) for line in lines], indent=1) + "\n", encoding="utf-8")
    return int(any(line.met is False for line in lines))


if __name__ == "__main__":
    raise SystemExit(main())

"""Search for an interview that could hurt somebody: `python tests/benchmarks/safety.py --cases N [--planted]`.

First all interviews to a depth, from every tree, role and danger, over few replies that stand for all; then N random
ones of every kind. Each question is held against the laws of `safety_laws.py`, which know YAML and events alone.
A failure names its law, its seed and the replies that led to it: `--seed S --cases 1 --depth 0` shows it again.
A law or a hazard that nothing has reached is a failure too.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.benchmarks import plain_hazards as plain
from tests.benchmarks.safety_planted import PLANTED, cases_until_found
from tests.benchmarks.safety_search import (
    A_LANGUAGE,
    TREES,
    Found,
    exhaustive,
    random_interviews,
    speaking,
)
from tests.benchmarks.safety_strategy import chosen_by_chance

Start = tuple[tuple[str, str], ...]
MOST_SHOWN = 3
"""So many breaches of one law are shown whole."""


def starts() -> list[Start]:
    """Every tree, role and danger; a danger that is told of at first leaves the tree for later."""
    dangers = ("none", *plain.dangers())
    found = [
        (("role", role), ("danger_now", danger), ("unit", "default"), ("complaint", tree), ("brought", "nothing"))
        for tree in TREES
        for role in plain.roles()
        for danger in dangers
    ]
    return [start if start[0][1] == "counter" else start[:-1] for start in found]


def _tell(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def _exhaust(start: Start, depth: int) -> tuple[Found, int]:
    with speaking("en") as models:
        return exhaustive(models, start, depth)


def _random(first: int, count: int) -> Found:
    with chosen_by_chance():
        return random_interviews(range(first, first + count))


def _show(found: Found, title: str) -> None:
    _tell(f"\n{title}: {found.interviews} interviews, {found.questions} questions")
    for what, counted in (("law", found.tested), ("hazard", found.hazards)):
        for name, count in sorted(counted.items()):
            _tell(f"  {what:8}{name:40}{count:>10}")
    told: Counter[str] = Counter()
    for breach in sorted(found.broken, key=lambda each: len(each.replies)):
        told[breach.law] += 1
        if told[breach.law] <= MOST_SHOWN:
            _tell(f"\nBROKEN {breach}")
    for law, count in told.items():
        _tell(f"\nBROKEN {law}: {count} times")


def _search(depth: int, cases: int, seed: int, workers: int) -> Found:
    whole, began = Found(), time.monotonic()
    with ProcessPoolExecutor(workers, initializer=os.nice, initargs=(5,)) as pool:
        if depth:
            ways = starts()
            parts = list(pool.map(_exhaust, ways, [depth] * len(ways)))
            states = sum(count for _, count in parts)
            to_depth = Found()
            for found, _ in parts:
                to_depth.add(found)
            _show(to_depth, f"all to depth {depth} from {len(ways)} starts, {states} states")
            whole.add(to_depth)
        firsts = list(range(seed, seed + cases, A_LANGUAGE))
        at_random = Found()
        counts = [min(A_LANGUAGE, seed + cases - first) for first in firsts]
        for nth, found in enumerate(pool.map(_random, firsts, counts), start=1):
            at_random.add(found)
            if nth % 100 == 0:
                took = time.monotonic() - began
                _tell(f"  {at_random.interviews} interviews after {took:.0f} s, {len(at_random.broken)} broken")
        _show(at_random, f"at random from seed {seed}")
        whole.add(at_random)
    return whole


def main(arguments: Sequence[str] | None = None) -> int:
    """Search, print what was met, and give 1 where a law was broken or something was never reached."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--cases", type=int, default=2000, help="random interviews")
    parser.add_argument("--seed", type=int, default=0, help="the first one's seed")
    parser.add_argument("--depth", type=int, default=3, help="questions deep for all interviews; 0 leaves that out")
    parser.add_argument("--planted", action="store_true", help="plant one mistake after another instead, and find each")
    parser.add_argument("--workers", type=int, default=2)
    wish = parser.parse_args(arguments)
    if wish.planted:
        found = {name: cases_until_found(name, wish.cases, wish.seed) for name in PLANTED}
        for name, met in found.items():
            _tell(f"  {name:40}{'NOT FOUND' if met is None else f'after {met[0]} interviews by {met[1]}'}")
        return int(None in found.values())
    whole = _search(wish.depth, wish.cases, wish.seed, wish.workers)
    unreached = whole.unreached() if wish.cases >= A_LANGUAGE else []
    for name in unreached:
        _tell(f"NEVER REACHED: {name}")
    return int(bool(whole.broken or unreached))


if __name__ == "__main__":
    sys.exit(main())

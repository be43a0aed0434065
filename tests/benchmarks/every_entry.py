"""Every entry of the shipped faults folder renamed, removed and emptied: is it refused, or does the program work?

Run by hand, about three minutes: `python -m tests.benchmarks.every_entry`.
tests/project/test_every_entry.py takes a part of it each time.
"""

from __future__ import annotations

import sys
from collections import Counter

from tests.variants import outcome_of, shipped


def main() -> None:
    """Print how many were tried, refused and worked, by kind and by what was done."""
    found: Counter[tuple[str, str, str]] = Counter()
    for turn, variant in enumerate(shipped().variants()):
        came_of = outcome_of(variant, turn)
        if came_of not in ("refused", "worked"):
            sys.stdout.write(f"{variant} {came_of}\n")
        found[variant.way, variant.kind, came_of if came_of in ("refused", "worked") else "wrong"] += 1
    for key in sorted(found):
        sys.stdout.write(f"{' '.join(key)}: {found[key]}\n")
    sums = ", ".join(f"{word} {_sum(found, word)}" for word in ("refused", "worked", "wrong"))
    sys.stdout.write(f"tried {found.total()}: {sums}\n")


def _sum(found: Counter[tuple[str, str, str]], word: str) -> int:
    return sum(count for (_, _, came_of), count in found.items() if came_of == word)


if __name__ == "__main__":
    main()

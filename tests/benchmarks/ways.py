"""Jobs led through every tree by everything that may happen: each stands where a plain chain of questions says.

`python -m tests.benchmarks.ways [--most N]`; a small form runs with the tests
(`tests/engine/session/test_machine.py`).
"""

from __future__ import annotations

import argparse
import sys

import tests.read_once  # noqa: F401  # before whatever reads
from tests.engine.session.test_machine import TREES, led_on, stray


def main() -> int:
    """Print what was led on in each tree, and the first jobs that stand elsewhere; 1 where there are any."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--most", type=int, default=6, help="jobs of each role led on from a state (default: 6)")
    most = parser.parse_args().most
    wrong = 0
    for tree in TREES:
        jobs = led_on(tree.id, most)
        found = stray(jobs)
        told = [f"{tree.id}: {len(jobs)} jobs", *map(str, found)]
        sys.stdout.write("\n  ".join(told) + "\n")
        wrong += bool(found)
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())

"""Counters that file at once: `python -m tests.benchmarks.store_crowd [--processes N] [--jobs N]`.

Into a file and into a server; an error ends it, and so does anything that is missing.
Prints how long all of it took, and the longest that a single job took.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

from tests.engine.store.crowd import at_once
from tests.engine.store.places import address_of


def main() -> int:
    """File, look and print."""
    options = argparse.ArgumentParser()
    options.add_argument("--processes", type=int, default=50)
    options.add_argument("--jobs", type=int, default=10)
    wanted = options.parse_args()
    for kind in ("file", "server"):
        with tempfile.TemporaryDirectory() as folder:
            begun = time.monotonic()
            longest = at_once(address_of(kind, Path(folder)), wanted.processes, wanted.jobs)
            taken = time.monotonic() - begun
        count = wanted.processes * wanted.jobs
        sys.stdout.write(
            f"{kind}: {count} jobs by {wanted.processes} processes in {taken:.1f} s, one {longest:.1f} s\n"
        )
        sys.stdout.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""How long a check of the shipped folder takes: alone, again after a save, and what looking for a save costs.

Run by hand: `python -m tests.benchmarks.checking`; processor seconds and the clock's, since a loaded machine stretches
the latter.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

from engine.evaluation.look_over import look_over
from engine.foundation.text_catalog import use_language
from engine.foundation.yaml_reader import keep_what_is_read
from interview.command_line.watching import state_of

RUNS = 5


def timed(what: str, run: Callable[[], object]) -> None:
    """Print the least of some runs, in processor and clock seconds."""
    found = []
    for _ in range(RUNS):
        cpu, clock = time.process_time(), time.perf_counter()
        run()
        found.append((time.process_time() - cpu, time.perf_counter() - clock))
    cpu, clock = min(found)
    sys.stdout.write(f"{what}: {cpu:.3f} s of processor, {clock:.3f} s by the clock\n")


def of_process(*words: str) -> float:
    """Processor seconds of a whole process, the least of some runs."""
    found = []
    for _ in range(RUNS):
        before = os.times()
        subprocess.run([sys.executable, "-m", "interview", *words], capture_output=True, check=False)
        after = os.times()
        found.append(after.children_user + after.children_system - before.children_user - before.children_system)
    return min(found)


def main() -> None:
    """Print the figures."""
    use_language("en")
    folder = Path(str(files("faults")))
    start, whole = of_process("completion", "bash"), of_process("check")
    more = whole - start
    sys.stdout.write(f"a process that starts: {start:.2f} s of processor; that checks: {whole:.2f}, {more:.2f} more\n")
    timed("check in a process that runs, nothing kept", lambda: look_over(folder))
    keep_what_is_read()
    look_over(folder)
    timed("check again, what did not change kept", lambda: look_over(folder))
    timed(f"one look for a save, {len(state_of(folder))} files", lambda: state_of(folder))


if __name__ == "__main__":
    main()

"""From the last keystroke of an answer to the next question, beside a prompt that asks for nothing. Run it by itself.

Both are the same line editor on a terminal of their own, in turns in one run; what differs is all that the program does
between two questions: writing the answer to disk, the belief, the next step, and showing it.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

import pexpect

ROOT = Path(__file__).parents[2]
PROGRAM = (
    "import sys; from interview.commands.app import main;"
    "sys.argv[1:] = 'ask --role counter --unit default --complaint no-output'.split(); sys.exit(main())"
)
OPENING = ("Someone felt", "none", "A water sample and the cell", "nothing")
EMPTY = """
from prompt_toolkit import PromptSession
session = PromptSession()
number = 0
while True:
    print(f"Question {number} of at most 20.", flush=True)
    session.prompt("or ? > ")
    number += 1
"""
ROUNDS, QUESTIONS = 5, 8
READING_SECONDS = 0.5
"""A moment to read a question of a line or two; who answers from habit takes no less."""
MOST_SECONDS = 0.1


def waits(code: str, *opening: str, reading_seconds: float = READING_SECONDS) -> list[float]:
    """Seconds from Enter until the next question takes an answer, for each question; `opening` leads to the first."""
    with tempfile.TemporaryDirectory() as jobs:
        env = {**os.environ, "PYTHONPATH": str(ROOT), "BRINECALL_JOBS": jobs, "TERM": "xterm", "LC_ALL": "C.UTF-8"}
        # The pseudo-terminal cannot say where its cursor is; neither side may wait for that.
        env["PROMPT_TOOLKIT_NO_CPR"] = "1"
        child = pexpect.spawn(sys.executable, ["-c", code], env=env, encoding="utf-8", timeout=20, dimensions=(24, 80))
        child.delaybeforesend = None
        for question, answer in zip(opening[::2], opening[1::2], strict=True):
            child.expect_exact(question)
            child.expect_exact("or ? >")
            child.send(f"{answer}\r")
        times = []
        child.expect("Question [0-9]+ of")
        child.expect_exact("or ? >")
        for _ in range(QUESTIONS):
            # In this moment whatever was put off may happen, as it would at a counter.
            time.sleep(reading_seconds)
            child.send("dk")
            begun = time.perf_counter()
            child.send("\r")
            child.expect("Question [0-9]+ of")
            child.expect_exact("or ? >")
            times.append(time.perf_counter() - begun)
        child.close(force=True)
        return times


def main() -> int:
    """Measure in turns, print medians, the 95th percentiles and the ratio; 1 where a question comes too late."""
    parties = {"empty prompt": (EMPTY,), "brinecall": (PROGRAM, *OPENING)}
    runs: dict[str, list[float]] = {name: [] for name in parties}
    for _ in range(ROUNDS):
        for name, party in parties.items():
            runs[name] += waits(*party)
    middle = {name: statistics.median(times) for name, times in runs.items()}
    late = {name: statistics.quantiles(times, n=20)[-1] for name, times in runs.items()}
    for name in runs:
        sys.stdout.write(f"{name:<14} median {middle[name] * 1000:6.1f} ms, 95 % {late[name] * 1000:6.1f} ms\n")
    median, last = (of["brinecall"] / of["empty prompt"] for of in (middle, late))
    sys.stdout.write(f"brinecall / empty prompt: median {median:.2f}, 95 % {last:.2f}\n")
    kept = late["brinecall"] <= MOST_SECONDS
    sys.stdout.write(f"95 % of the questions within {MOST_SECONDS * 1000:.0f} ms: {kept}\n")
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())

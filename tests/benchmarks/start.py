"""Start-up: from the command to the first question, beside the time of importing the libraries. Run it by itself."""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

import pexpect

ROOT = Path(__file__).parents[2]
PROGRAM = "import sys; from interview.commands.app import main; sys.exit(main())"
PROMPT = "import click, prompt_toolkit, yaml; print('ready', flush=True)"
"""What the first question itself needs: the commands, the line editor, the roles file."""
WHOLE = "import click, jinja2, numpy, prompt_toolkit, pydantic, transitions, yaml; print('ready', flush=True)"
"""Everything an interview needs from its first question to its sheet: the project's own list of dependencies."""
ROUNDS = 15
MOST_RATIO, MOST_SECONDS = 1.3, 0.5


def seconds_until(code: str, *seen: str) -> list[float]:
    """Seconds from starting an interpreter on a terminal until it has shown each of these, in turn."""
    with tempfile.TemporaryDirectory() as jobs:
        env = {**os.environ, "PYTHONPATH": str(ROOT), "BRINECALL_JOBS": jobs, "TERM": "xterm"}
        begun = time.perf_counter()
        child = pexpect.spawn(sys.executable, ["-c", code], env=env, encoding="utf-8", timeout=20)
        times = []
        for text in seen:
            child.expect_exact(text)
            times.append(time.perf_counter() - begun)
        child.close(force=True)
        return times


def main() -> int:
    """Measure in turns, print the medians and ratios; 1 where the promise is not kept."""
    runs: dict[str, list[float]] = {name: [] for name in ("prompt libraries", "all libraries", "question", "prompt")}
    for _ in range(ROUNDS):
        runs["prompt libraries"] += seconds_until(PROMPT, "ready")
        runs["all libraries"] += seconds_until(WHOLE, "ready")
        question, prompt = seconds_until(PROGRAM, "Technician at the pool", "or ? >")
        runs["question"].append(question)
        runs["prompt"].append(prompt)
    middle = {name: statistics.median(times) for name, times in runs.items()}
    for said, name in (
        ("importing the libraries of the first question", "prompt libraries"),
        ("importing all libraries that an interview needs", "all libraries"),
        ("start until the first question can be read", "question"),
        ("start until the first question takes an answer", "prompt"),
    ):
        sys.stdout.write(f"{said:<62} {middle[name] * 1000:6.0f} ms\n")
    ratios = {
        "readable / libraries of the first question": middle["question"] / middle["prompt libraries"],
        "takes an answer / all libraries": middle["prompt"] / middle["all libraries"],
        "takes an answer / libraries of the first question": middle["prompt"] / middle["prompt libraries"],
    }
    for said, ratio in ratios.items():
        sys.stdout.write(f"{said:<62} {ratio:6.2f}\n")
    kept = middle["prompt"] / middle["all libraries"] <= MOST_RATIO and middle["prompt"] <= MOST_SECONDS
    sys.stdout.write(f"takes an answer within {MOST_RATIO} of all libraries and {MOST_SECONDS} s: {kept}\n")
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())

"""Kills at random moments: `python tests/benchmarks/kills.py [--times N] [--seed N]`.

Half of the interviews are typed through a pipe, half at a terminal, where that can be had.
Each is killed (kill -9) at a random moment; what was acknowledged by then must stand in the journal, and the job must
go on. Prints how many were killed, how many answers and notes had been acknowledged, how many of them are lost, and how
many jobs cannot go on.
"""

from __future__ import annotations

import argparse
import os
import random
import select
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from engine.session.journal import Event, read_events  # noqa: E402
from tests.interview.people import PROGRAM, environment, run  # noqa: E402

LONGEST_S = 8.0
TYPED: tuple[tuple[str, str], ...] = (
    ("note first thing", "Noted."),
    ("field", "none; looked and asked"),
    ("none", "one sign"),
    ("note gate is open", "Noted."),
    ("default", "cold water"),
    ("no-output", "Question 1 of at most"),
    ("note two dogs", "Noted."),
    ("dk", "= Not known"),
    ("dk", "= Not known"),
)
"""What is typed, in this order, and what stands on the screen only once it has been taken in.

A prompt alone says nothing: a terminal draws it again whenever it likes.
"""


@dataclass
class Count:
    """What was tried and what went wrong."""

    killed: int = 0
    acknowledged: int = 0
    lost: int = 0
    stuck: int = 0
    tracebacks: int = 0


def by_pipe(jobs: Path, moment: float) -> tuple[int, str]:
    """Type through a pipe until the moment, then kill: how many lines were acknowledged, and all that was shown."""
    with subprocess.Popen(
        [*PROGRAM, "ask"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        env=environment(jobs),
    ) as child:
        assert child.stdin is not None
        assert child.stdout is not None
        taken, shown = converse(child.stdout.fileno(), child.stdin.fileno(), moment, "\n")
        child.kill()
    return taken, shown


def at_terminal(jobs: Path, moment: float) -> tuple[int, str]:
    """The same at a terminal of its own."""
    import pty

    pid, terminal = pty.fork()
    if pid == 0:
        os.execvpe(PROGRAM[0], [*PROGRAM, "ask"], environment(jobs))
    taken, shown = converse(terminal, terminal, moment, "\r")
    os.kill(pid, 9)
    os.waitpid(pid, 0)
    os.close(terminal)
    return taken, shown


def converse(shows: int, types: int, moment: float, end: str) -> tuple[int, str]:
    """Type the next line whenever the one before is acknowledged and a prompt stands: how many were acknowledged."""
    until, shown, taken, since, waits = time.monotonic() + moment, "", 0, 0, False
    while (left := until - time.monotonic()) > 0 and select.select([shows], [], [], left)[0]:
        try:
            more = os.read(shows, 65536)
        except OSError:
            break
        if not more:
            break
        shown += more.decode(errors="replace")
        if waits and (at := shown.find(TYPED[taken][1], since)) >= 0:
            taken, since, waits = taken + 1, at, False
        if not waits and taken < len(TYPED) and "or ? >" in shown[since:]:
            since, waits = len(shown), True
            os.write(types, f"{TYPED[taken][0]}{end}".encode())
    return taken, shown


def holds(line: str, events: tuple[Event, ...]) -> bool:
    """Whether what was typed stands in the journal."""
    if line.startswith("note "):
        return any(event.kind == "noted" and event.text == line[5:] for event in events)
    return any(event.kind == "answered" and event.value == line for event in events)


def one(talk: Callable[[Path, float], tuple[int, str]], moment: float, count: Count) -> None:
    """Kill one interview, and look what is left of it."""
    with tempfile.TemporaryDirectory() as made:
        jobs = Path(made)
        taken, shown = talk(jobs, moment)
        count.killed += 1
        kept = list(jobs.glob("*.jsonl"))
        events = read_events(kept[0]) if kept else ()
        sure = [line for line, _ in TYPED[:taken] if line != "dk"]
        lost = [line for line in sure if not holds(line, events)]
        count.acknowledged += len(sure)
        count.lost += len(lost)
        if lost:
            sys.stdout.write(f"lost: {lost}; the journal holds {events}\n")
        count.tracebacks += "Traceback" in shown
        if any(event.kind != "opened" for event in events):
            again = run(jobs, "resume", typed="leave\n")
            count.stuck += again.returncode != 0
            count.tracebacks += "Traceback" in again.stderr


def main() -> int:
    """Kill, count and print."""
    options = argparse.ArgumentParser()
    options.add_argument("--times", type=int, default=100)
    options.add_argument("--seed", type=int, default=1)
    wanted = options.parse_args()
    chance = random.Random(wanted.seed)
    wrong = 0
    ways = {"pipe": by_pipe, **({} if sys.platform == "win32" else {"terminal": at_terminal})}
    for name, talk in ways.items():
        count = Count()
        for _ in range(wanted.times // len(ways)):
            one(talk, chance.uniform(0.05, LONGEST_S), count)
        sys.stdout.write(
            f"{name}: {count.killed} killed, {count.acknowledged} acknowledged, {count.lost} lost, "
            f"{count.stuck} that cannot go on, {count.tracebacks} tracebacks\n"
        )
        wrong += count.lost + count.stuck + count.tracebacks
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())

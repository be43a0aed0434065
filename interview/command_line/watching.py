"""A faults folder looked over again at each save, with the worked calls that the edit touches.

Files are found changed by their size and time of change, asked for four times a second: that takes two milliseconds for
two hundred files, so no library that is told by the system is worth its weight (`tests/benchmarks/checking.py`). What
did not change is not read again, and an edit made meanwhile stops the calls of the one before.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from pathlib import Path

from engine.evaluation.calls import WorkedCall, read_calls
from engine.evaluation.look_over import CALLS, LookedOver
from engine.foundation.problems import KnowledgeError
from engine.foundation.texts import say
from engine.foundation.yaml_reader import keep_what_is_read
from engine.proving.at_a_save import FirstMoved, first_moved, touched_calls
from engine.session.models import Models

PAUSE = 0.25
"""Seconds between two looks at the files."""
MOST_CALLS = 40
"""So many calls are tried after one save: what takes longer is for `brinecall try`."""

State = Mapping[Path, tuple[int, int]]


def state_of(folder: Path) -> State:
    """The YAML files of a folder, each with its time of change in nanoseconds and its size in bytes."""
    found = {}
    for path in folder.rglob("*.yaml"):
        # An editor may have moved it away a moment ago.
        with suppress(OSError):
            there = path.stat()
            found[path] = (there.st_mtime_ns, there.st_size)
    return found


def next_state(folder: Path, before: State) -> State:
    """Wait until a file changes, and give how they are then."""
    while (state := state_of(folder)) == before:
        time.sleep(PAUSE)
    return state


def watch(
    folder: Path,
    look: Callable[[], LookedOver],
    tell: Callable[[LookedOver], None],
    say_line: Callable[[str], None],
    changes: Callable[[Path, State], State | None] = next_state,
) -> None:
    """Look, tell, and do so again at each change, until it is broken off.

    Args: the folder; what looks it over; what tells what was found; what tells a line; what waits for the next change,
        and gives None where none will come.
    """
    keep_what_is_read()
    last: LookedOver | None = None
    state: State | None = state_of(folder)
    while state is not None:
        looked = look()
        tell(looked)
        if last is not None and looked.entries is not None:
            for line in _calls(folder, last, looked, state):
                say_line(line)
        if looked.entries is not None:
            last = looked
        say_line(say("watching.waiting"))
        state = changes(folder, state)


def _calls(folder: Path, before: LookedOver, after: LookedOver, state: State) -> Iterator[str]:
    """How the edit moved the calls that it can touch, one a line, for as long as nothing else is saved."""
    if before.knowledge is None or after.knowledge is None:
        return
    touched = touched_calls(_read(folder, after), before.knowledge, after.knowledge)
    if not touched:
        return
    old, new = Models(before.knowledge), Models(after.knowledge)
    turned = 0
    for number, call in enumerate(touched[:MOST_CALLS]):
        if state_of(folder) != state:
            yield say("watching.stopped", done=number, count=len(touched))
            return
        if (move := first_moved(call, old, new)) is not None:
            turned += 1
            yield _told(move)
    yield say("watching.tried", count=min(len(touched), MOST_CALLS), of=len(touched), moved=turned)


def _read(folder: Path, looked: LookedOver) -> list[WorkedCall]:
    """The worked calls of the folder; of a file with mistakes, which are told, none."""
    calls: list[WorkedCall] = []
    for file in sorted((folder / CALLS).glob("*.yaml")):
        with suppress(KnowledgeError, OSError):
            if looked.knowledge is not None:
                calls += read_calls(f"{folder}/{CALLS}/{file.name}", file.read_bytes(), looked.knowledge)
    return calls


def _told(move: FirstMoved) -> str:
    was, now = (" + ".join(causes) or say("watching.unlisted") for causes, _ in (move.before, move.after))
    shares = {"before": f"{move.before[1] * 100:.0f}", "after": f"{move.after[1] * 100:.0f}"}
    names = {"call": move.call, "was": was, "now": now}
    return say("watching.same" if was == now else "watching.turned", **names, **shares)

"""Screens as a person sees them, at 80 x 24 and 40 x 24, kept as files to be read by people.

`python -m tests.interview.test_golden_screens` writes them anew after a change of words or layout; read what changed.
The terminal is pyte's (a VT102 in Python), so that what has scrolled away is not on the screen.
"""

from __future__ import annotations

import re
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import pexpect
import pyte
import pytest

from tests.interview.people import LIMIT_S, PROGRAM, environment, sleeps
from tests.shipped import knowledge

pytestmark = [pytest.mark.e2e, pytest.mark.no_cover]  # whole calls through branches that other tests take too

FOLDER = Path(__file__).parents[1] / "golden" / "screens"
ROWS = 24
QUIET_SECONDS = 0.15
WAITS = re.compile(r"[>] ?$")

CALLS: Mapping[str, Sequence[str]] = {
    "phone-40": (
        "2",
        "1",
        "1",
        "can't he is not at the pool",
        "list",
        "later",
        "salt 3400, plates white",
        "help",
        "back",
    ),
    "field-80": ("3", "1", "1", "2", "1", "1", "?", "?", "note wet box", "2", "can't no meter", "finish"),
    "danger-40": ("2", "5", "", "", "done"),
}
"""What is typed on each call at so many columns, from the very first question on."""


class Screen:
    """The program on a terminal of so many columns, with its screen as text."""

    def __init__(self, folder: Path, columns: int) -> None:
        self._screen = pyte.Screen(columns, ROWS)
        self._stream = pyte.Stream(self._screen)
        env = {k: v for k, v in environment(folder / "jobs").items() if k != "COLUMNS"}
        env |= {"LC_ALL": "C.UTF-8", "BRINECALL_CONFIG": str(folder / "config"), "NO_COLOR": "1"}
        # Jobs are then shown by a path whose length no machine changes.
        env["HOME"] = str(folder)
        self._folder = folder
        self._child = pexpect.spawn(
            PROGRAM[0], PROGRAM[1:], env=env, dimensions=(ROWS, columns), timeout=LIMIT_S, encoding="utf-8"
        )

    def settled(self) -> str:
        """The screen once the program waits for a line or has ended, without what differs from run to run."""
        came, begun, last = False, time.monotonic(), time.monotonic()
        while time.monotonic() - begun < LIMIT_S:
            try:
                self._stream.feed(self._child.read_nonblocking(4096, timeout=0.05))
                came, last = True, time.monotonic()
            except pexpect.TIMEOUT:
                quiet = came and time.monotonic() - last > QUIET_SECONDS
                if quiet and WAITS.search(self._line()) and sleeps(self._child.pid):
                    break
            except pexpect.EOF:
                break
        shown = "\n".join(line.rstrip() for line in self._screen.display).strip("\n")
        shown = re.sub(r"~/jobs/\S+|\d{4}-\d\d-\d\d-\d{4}(-\d+)?|[0-9]{8}-[0-9a-z-]+|/tmp/\S+", "JOB", shown)
        return shown.replace(knowledge().fingerprint, "0123456789ab")

    def type(self, text: str) -> None:
        """Type a line."""
        self._child.send(text if text in ("?", "<") else f"{text}\r")

    def close(self) -> None:
        """Leave."""
        self._child.close(force=True)

    def _line(self) -> str:
        return str(self._screen.display[self._screen.cursor.y]).rstrip()


def screens(call: str) -> Iterator[str]:
    """Each screen of a call, under what was typed to come to it."""
    with tempfile.TemporaryDirectory() as folder:
        screen = Screen(Path(folder), int(call.rpartition("-")[2]))
        yield f"==== the first screen\n{screen.settled()}\n"
        for typed in CALLS[call]:
            screen.type(typed)
            yield f"==== {typed}\n{screen.settled()}\n"
        screen.close()


@pytest.mark.parametrize("call", CALLS)
def test_the_screens_are_those_that_were_read(call: str) -> None:
    assert "\n".join(screens(call)) == (FOLDER / f"{call}.txt").read_text(encoding="utf-8")


def write() -> None:
    """Write every screen anew."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for call in CALLS:
        (FOLDER / f"{call}.txt").write_text("\n".join(screens(call)), encoding="utf-8")


if __name__ == "__main__":
    write()

"""A window that changes its size, a slow line, a terminal without colour, and one that goes away."""

from __future__ import annotations

import os
import re
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pexpect
import pyte
import pytest

from engine.session.journal import Event, read_events
from tests.interview.people import LIMIT_S, PROGRAM, environment, heeding_signals, sleeps

pytestmark = [pytest.mark.e2e, pytest.mark.no_cover]  # whole calls through branches that other tests take too

ROWS, WIDE, NARROW = 60, 80, 40
QUIET_S = 0.25
SEQUENCE = re.compile(r"\x1b(?:\[[0-9;?]*[A-Za-z]|[()][A-Z0-9]|[=>])|[\x07\x0f]")
"""Control sequences (ECMA-48) and the few shorter ones of a VT100."""
WHOLE_SCREEN = re.compile(r"\x1b\[[23]J|\x1b\[\?(?:47|1047|1049)[hl]|\x1bc|\x1b\[[0-9;]*H|\x1b\[[0-9]*[AF]")
"""Clearing the screen or what has scrolled away, the other screen, a reset, the cursor set or moved up: whatever would
change lines that were read already. Source: ECMA-48; the other screen as xterm's control sequences have it."""
COLOUR = re.compile(r"\x1b\[(?:[0-9]+;)*(?:3[0-8]|4[0-8]|9[0-7]|10[0-7])(?:;[0-9]+)*m")
"""Source: ECMA-48, select graphic rendition; the bright colours as xterm has them."""
SLOW_LINE_BYTES_PER_S = 960
"""9600 bit/s, ten of them a byte: the slowest line that anybody still works over (judgement)."""
KEYS_PER_S = 10
"""A fast typist: 120 words of five letters a minute (judgement)."""


class Watched:
    """The program on a terminal whose every byte is kept, and whose screen can be looked at."""

    def __init__(self, jobs: Path, page: str = "utf-8", **more: str) -> None:
        self.jobs = jobs
        self.screen = pyte.Screen(WIDE, ROWS)
        self._stream = pyte.Stream(self.screen)
        # Jobs are then shown by a path that is the same for each.
        usual = {"LC_ALL": "C.UTF-8", "BRINECALL_CONFIG": str(jobs / "config"), "PYTHONIOENCODING": page}
        usual |= {"HOME": str(jobs)}
        kept = environment(jobs, **(usual | more))
        env = {key: value for key, value in kept.items() if key != "COLUMNS"}
        arguments = ["ask", "--role", "field", "--complaint", "low-salt", "--unit", "default"]
        self.child = pexpect.spawn(
            PROGRAM[0],
            [*PROGRAM[1:], *arguments],
            env=env,
            dimensions=(ROWS, WIDE),
            timeout=LIMIT_S,
            encoding=page,
            preexec_fn=heeding_signals,
        )

    def settled(self, at_prompt: bool = True) -> str:
        """All that has come until nothing more does, or until a prompt waits, and the program sleeps."""
        shown = ""
        begun = last = time.monotonic()
        while time.monotonic() - begun < LIMIT_S:
            try:
                came = str(self.child.read_nonblocking(4096, timeout=0.05))
                self._stream.feed(came)
                shown, last = shown + came, time.monotonic()
            except pexpect.TIMEOUT:
                if time.monotonic() - last > QUIET_S and (not at_prompt or self.waits) and sleeps(self.child.pid):
                    break
            except pexpect.EOF:
                break
        return shown

    @property
    def waits(self) -> bool:
        """Whether the cursor stands behind a prompt."""
        return str(self.screen.display[self.screen.cursor.y]).rstrip().endswith(">")

    def type(self, line: str) -> str:
        """Type a line; what it brings up to the next prompt."""
        for key in line:
            self.child.send(key)
        # A figure alone may be an answer already, and brings the next question by itself.
        echoed = self.settled(at_prompt=False)
        self.child.send("\r")
        return echoed + self.settled()

    def comes(self, wanted: Callable[[], bool]) -> bool:
        """Whether something holds at last, whatever comes meanwhile."""
        begun = time.monotonic()
        while not wanted() and time.monotonic() - begun < LIMIT_S:
            self.settled(at_prompt=False)
        return wanted()

    def resize(self, columns: int) -> str:
        """Change the width of the window; what is drawn for it."""
        self.child.setwinsize(ROWS, columns)
        self.screen.resize(lines=ROWS, columns=columns)
        return self.settled(at_prompt=False)

    @property
    def events(self) -> tuple[Event, ...]:
        """The events on disk."""
        (path,) = self.jobs.glob("*.jsonl")
        return read_events(path)

    def close(self) -> None:
        """Leave."""
        self.child.close(force=True)


def shown_text(raw: str) -> str:
    return SEQUENCE.sub("", raw)


def below(raw: str) -> list[str]:
    """The lines below the one that was typed, with the prompt at the end."""
    return shown_text(raw).replace("\r\r", "\r").split("\n")[1:]


def words(raw: str) -> list[str]:
    return " ".join(below(raw)).split()


@pytest.fixture
def terminals() -> Iterator[list[Watched]]:
    opened: list[Watched] = []
    yield opened
    for terminal in opened:
        terminal.close()


def test_after_a_change_of_width_everything_is_set_for_the_new_one(tmp_path: Path, terminals: list[Watched]) -> None:
    """Each line typed brings the same words on a window that changes as on one that stays: none is cut or lost.

    On a dumb terminal nothing is set for a width: its lines are read aloud whole.
    """
    steady, changing = Watched(tmp_path / "steady"), Watched(tmp_path / "changing")
    terminals += [steady, changing]
    assert words(steady.settled()) == words(changing.settled())
    widths = {WIDE: 0, NARROW: 0}
    asked = set[str]()
    for width, typed in [
        (NARROW, "none"),
        (NARROW, "why"),
        (WIDE, "why"),
        (NARROW, "help"),
        (WIDE, "dk"),
        (NARROW, "dk"),
    ]:
        changing.resize(width)
        brought = changing.type(typed)
        assert words(brought) == words(steady.type(typed))
        lines = [line.rstrip("\r") for line in below(brought)]
        assert [line for line in lines if len(line) > width] == []
        widths[width] = max(widths[width], *map(len, lines))
        asked |= set(re.findall("Question ([0-9]+)", shown_text(brought)))
    assert widths[WIDE] > NARROW
    assert asked >= {"1", "2"}


def test_a_change_in_the_middle_of_a_line_keeps_what_is_typed(tmp_path: Path, terminals: list[Watched]) -> None:
    terminal = Watched(tmp_path)
    terminals.append(terminal)
    terminal.settled()
    terminal.type("none")
    terminal.child.send("note the gate is ")

    def stands_once() -> bool:
        rows = [str(row) for row in terminal.screen.display]
        return [row for row in rows if "the gate is" in row] == [rows[terminal.screen.cursor.y]]

    assert terminal.comes(stands_once)
    for width in (NARROW, WIDE, NARROW):
        terminal.resize(width)
        assert terminal.comes(stands_once)
    terminal.type("locked")
    assert terminal.comes(lambda: terminal.events[-1].text == "the gate is locked")


def test_a_window_too_narrow_for_anything_loses_nothing(tmp_path: Path, terminals: list[Watched]) -> None:
    terminal = Watched(tmp_path)
    terminals.append(terminal)
    terminal.settled()
    terminal.child.setwinsize(ROWS, 1)
    terminal.child.send("none\r")
    terminal.settled(at_prompt=False)
    terminal.child.setwinsize(ROWS, WIDE)
    terminal.type("dk")
    assert terminal.comes(lambda: terminal.events[-1].kind == "dont_know")


def test_nothing_that_was_read_is_ever_drawn_anew(tmp_path: Path, terminals: list[Watched]) -> None:
    terminal = Watched(tmp_path)
    terminals.append(terminal)
    assert not WHOLE_SCREEN.search(terminal.settled())
    for typed in ("none", "?", "?", "help", "dk", "list", "3400", "back", "dk", "finish", "2"):
        brought = terminal.type(typed) if typed != "?" else press(terminal, "?")
        assert not WHOLE_SCREEN.search(brought), typed
        # Besides its words and its keys, an answer takes a quarter of a second on the slowest line.
        beside = len(brought) - len(shown_text(brought))
        assert beside < SLOW_LINE_BYTES_PER_S * (0.25 + len(typed) / KEYS_PER_S), typed


def press(terminal: Watched, key: str) -> str:
    terminal.child.send(key)
    return terminal.settled()


def test_a_key_costs_few_bytes(tmp_path: Path, terminals: list[Watched]) -> None:
    """Typing keeps pace on the slowest line, and the cursor never jumps about over what is there."""
    terminal = Watched(tmp_path)
    terminals.append(terminal)
    terminal.settled()
    terminal.type("none")
    for key in [*"note 18 °C, año", *["\x7f"] * 5, "\x1b[D", "\x1b[C", "\x01", "\x05"]:
        terminal.child.send(key)
        drawn = ""
        while not drawn:
            drawn = terminal.settled(at_prompt=False)
        assert len(drawn.encode()) <= SLOW_LINE_BYTES_PER_S / KEYS_PER_S, (key, drawn)
        assert not WHOLE_SCREEN.search(drawn)
        # Hidden while it is moved, shown again afterwards.
        assert drawn.count("\x1b[?25l") <= drawn.count("\x1b[?25h")


@pytest.mark.parametrize(("value", "coloured"), [("1", False), ("", True)])
def test_without_colour_there_is_none(tmp_path: Path, terminals: list[Watched], value: str, coloured: bool) -> None:
    """Source: no-color.org: a variable NO_COLOR that is not empty takes all colour away; bold may stay."""
    terminal = Watched(tmp_path, NO_COLOR=value)
    terminals.append(terminal)
    brought = terminal.settled() + "".join(map(terminal.type, ("tingle", "done", "2", "none", "finish")))
    assert "DANGER" in brought
    assert bool(COLOUR.search(brought)) == coloured


def test_plain_lines_move_no_cursor(tmp_path: Path, terminals: list[Watched]) -> None:
    terminal = Watched(tmp_path, TERM="dumb")
    terminals.append(terminal)
    brought = terminal.settled() + "".join(
        map(terminal.type, ("none", "why", "why", "help", "dk", "list", "finish", "1"))
    )
    assert re.findall(r"[^\n\r -~\xa0-\uffff]", brought) == []
    # A return only before a line break: nothing is written over.
    assert "\r" not in brought.replace("\r\r\n", "").replace("\r\n", "")


@pytest.mark.parametrize(("term", "typed"), [("xterm", ""), ("xterm", "note half a"), ("dumb", "note half a")])
def test_a_lost_terminal_loses_nothing_on_any_kind_of_screen(tmp_path: Path, term: str, typed: str) -> None:
    """Its other side is closed, as where the line is cut; then the kernel sends SIGHUP (POSIX.1-2017, 11.1.10)."""
    terminal = Watched(tmp_path, TERM=term)
    terminal.settled()
    terminal.type("none")
    terminal.type("dk")
    kept = terminal.events
    assert kept[-1].kind == "dont_know"
    terminal.child.send(typed)
    terminal.settled(at_prompt=False)
    os.close(terminal.child.child_fd)
    begun = time.monotonic()
    while terminal.child.isalive() and time.monotonic() - begun < LIMIT_S:
        time.sleep(0.05)
    assert not terminal.child.isalive()
    assert terminal.child.signalstatus in (signal.SIGHUP, None)
    assert terminal.events == kept

"""The terminal whose first words stand before the line editor has been loaded."""

from __future__ import annotations

import os
import shutil
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from types import FrameType
from typing import TYPE_CHECKING

from interview.frontends.encoding import legible
from interview.frontends.lines import NOTHING_OFFERED, LineFrontEnd, Offer

if TYPE_CHECKING:
    from interview.frontends.layout import Line
    from interview.frontends.line_editor import TerminalLines

_ORDINARY = b"\x1b[?2004l\x1b[?25h\x1b[0m\r\n"
"""Bracketed paste off, the cursor shown, no colour (xterm's control sequences; the last two also ECMA-48 and DEC)."""


class EarlyTerminal:
    """Lines on the terminal of this process. The editor is loaded when a line is first read, and from then on does all.

    What is written before that is plain, so that the first question can be read while the editor loads.
    """

    def __init__(self) -> None:
        self._editor: TerminalLines | None = None

    @property
    def width(self) -> int:
        """Columns of the screen now."""
        return self._editor.width if self._editor else shutil.get_terminal_size().columns

    @property
    def height(self) -> int | None:
        """Rows of the screen now."""
        return self._editor.height if self._editor else shutil.get_terminal_size().lines

    def write(self, lines: Sequence[Line]) -> None:
        """Show lines above the prompt to come."""
        lines = [replace(line, text=legible(line.text, sys.stdout.encoding)) for line in lines]
        if self._editor:
            self._editor.write(lines)
        else:
            print("\n".join(line.text for line in lines), flush=True)

    def forget_keys(self) -> None:
        """Forget what was typed before now and not read yet."""
        if self._editor:
            self._editor.forget_keys()

    @property
    def by_key(self) -> bool:
        """Whether single keys are read: they are."""
        return True

    def page(self, lines: Sequence[Line]) -> None:
        """Show lines that are more than a screen."""
        if self._editor:
            self._editor.page([replace(line, text=legible(line.text, sys.stdout.encoding)) for line in lines])
        else:
            self.write(lines)

    def read(self, prompt: str, shown: Callable[[], None], offer: Offer = NOTHING_OFFERED, /) -> str:
        """Read one line, or one of the keys `at_once`. Raises EOFError on Ctrl-D and KeyboardInterrupt on Ctrl-C."""
        if self._editor is None:
            with _interrupts_held_back():
                # Late: the line editor loads while the question is read.
                from interview.frontends.line_editor import TerminalLines

                _give_back_when_told_to_end()
                self._editor = TerminalLines()
        return self._editor.read(legible(prompt, sys.stdout.encoding), shown, offer)


def terminal_front_end() -> LineFrontEnd:
    """A front end on the terminal of this process."""
    return LineFrontEnd(EarlyTerminal())


@contextmanager
def _interrupts_held_back() -> Iterator[None]:
    """Meanwhile Ctrl-C is noted, and comes at the end: raised while modules load it may meet code that drops it."""
    met = list[int]()
    before = signal.signal(signal.SIGINT, lambda number, _: met.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if met:
        raise KeyboardInterrupt


def _give_back_when_told_to_end() -> None:
    """Told to end (SIGTERM), leave at once with the terminal as it was found: every answer is on disk already.

    A lost terminal (SIGHUP) ends the process by itself, and there is nothing to give back.
    """
    if sys.platform == "win32":
        return
    import termios

    found = termios.tcgetattr(sys.stdin.fileno())

    def end(number: int, _: FrameType | None) -> None:
        termios.tcsetattr(sys.stdin.fileno(), termios.TCSANOW, found)
        os.write(sys.stdout.fileno(), _ORDINARY)
        os._exit(128 + number)

    signal.signal(signal.SIGTERM, end)

"""The front end of plain lines: for a pipe, a screen reader, a terminal without cursor control."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable, Sequence

from interview.dialogue import Dialogue
from interview.screen import Line

__all__ = ["PlainLines", "plain_front_end"]


class PlainLines:
    """Lines from standard input, lines to standard output, without any control of the cursor or colour."""

    @property
    def width(self) -> int:
        """Columns of the terminal, by COLUMNS or by its own word; 80 where there is none."""
        return shutil.get_terminal_size().columns

    @property
    def height(self) -> int | None:
        """Rows of the terminal; None where standard output is none."""
        return shutil.get_terminal_size().lines if sys.stdout.isatty() else None

    def write(self, lines: Sequence[Line]) -> None:
        """Print the lines at once."""
        print("\n".join(line.text for line in lines), flush=True)

    def read(self, prompt: str, shown: Callable[[], None]) -> str:
        """Print the prompt and read one line. Raises EOFError at the end of input."""
        print(prompt, end="", flush=True)
        shown()
        line = sys.stdin.readline()
        if not line:
            raise EOFError
        if not sys.stdin.isatty():
            # Nobody's Return key moved the cursor on, so the next line would stand behind the prompt.
            print(flush=True)
        return line


def plain_front_end() -> Dialogue:
    """A front end on standard input and output."""
    return Dialogue(PlainLines())

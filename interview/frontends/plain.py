"""The front end of plain lines: for a pipe, a screen reader, a terminal without cursor control."""

from __future__ import annotations

import codecs
import io
import os
import shutil
import sys
from collections.abc import Callable, Sequence

from interview.frontends.bounded_line import read_line
from interview.frontends.layout import ALOUD, Line
from interview.frontends.lines import NOTHING_OFFERED, LineFrontEnd, Offer


def is_read_aloud() -> bool:
    """Whether what is printed is read aloud line by line, which `TERM=dumb` says."""
    return os.environ.get("TERM") == "dumb"


class PlainLines:
    """Lines from standard input, lines to standard output, without any control of the cursor or colour."""

    def __init__(self) -> None:
        self._begun = False

    @property
    def width(self) -> int:
        """Columns of the terminal, by COLUMNS or by its own word; 80 where there is none; aloud there are none."""
        return ALOUD if is_read_aloud() else shutil.get_terminal_size().columns

    @property
    def height(self) -> int | None:
        """Rows of the terminal; None where standard output is none, or nobody looks at it."""
        return shutil.get_terminal_size().lines if sys.stdout.isatty() and not is_read_aloud() else None

    def write(self, lines: Sequence[Line]) -> None:
        """Print the lines at once."""
        print("\n".join(line.text for line in lines), flush=True)

    @property
    def by_key(self) -> bool:
        """Whether single keys are read: whole lines alone are."""
        return False

    def page(self, lines: Sequence[Line]) -> None:
        """Print lines that are more than a screen; whoever hears or logs them needs no pager."""
        self.write(lines)

    def forget_keys(self) -> None:
        """Nothing: what comes through a pipe was written before anything could be read."""

    def read(self, prompt: str, shown: Callable[[], None], _offer: Offer = NOTHING_OFFERED, /) -> str:
        """Print the prompt and read one line. Raises EOFError at the end of input."""
        print(prompt, end="", flush=True)
        shown()
        self._heed_mark()
        line = read_line(sys.stdin)
        if not line:
            raise EOFError
        if not sys.stdin.isatty():
            # Nobody's Return key moved the cursor on, so the next line would stand behind the prompt.
            print(flush=True)
        return line

    def _heed_mark(self) -> None:
        """Before the first line: input that begins with the mark of UTF-8 is that, whatever the code page here is."""
        if self._begun or sys.stdin.isatty():
            return
        self._begun = True
        text = sys.stdin
        if not isinstance(text, io.TextIOWrapper) or not isinstance(text.buffer, io.BufferedReader):
            return
        if text.buffer.peek(len(codecs.BOM_UTF8)).startswith(codecs.BOM_UTF8):
            text.reconfigure(encoding="utf-8-sig", errors="replace")


def plain_front_end() -> LineFrontEnd:
    """A front end on standard input and output."""
    return LineFrontEnd(PlainLines())

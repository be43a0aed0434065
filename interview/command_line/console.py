"""Lines of output folded at their words, where they go to a terminal that is narrower than they are."""

from __future__ import annotations

import shutil
import textwrap
from typing import TextIO

_LEAST_COLUMNS = 20


def folded(text: str, stream: TextIO, rest: str = "  ") -> str:
    """Lines as they are printed to a stream: whole, or on a terminal folded between words, with `rest` before the rest.

    A program that reads the output gets one line for one thing.
    """
    if not stream.isatty():
        return text
    columns = max(shutil.get_terminal_size().columns, _LEAST_COLUMNS)
    return "\n".join(part for line in text.splitlines() for part in _parts(line, columns, rest))


def _parts(line: str, columns: int, rest: str) -> list[str]:
    if len(line) <= columns:
        return [line]
    indent = " " * (len(line) - len(line.lstrip()))
    return textwrap.wrap(line, columns, subsequent_indent=indent + rest, break_long_words=False, break_on_hyphens=False)

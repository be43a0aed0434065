"""A line from a file or a pipe, which may send one that never ends."""

from __future__ import annotations

from typing import TextIO

_MOST = 20_000
"""So much of a line is kept: more than any may have, so that a longer one is seen to be too long."""
_MOST_SKIPPED = 20_000_000


def read_line(source: TextIO) -> str:
    """The next line with its end, of one that is far too long the beginning; empty at the end of input.

    What goes on without any end of line is given up as if it ended.
    """
    line = source.readline(_MOST)
    skipped, rest = 0, line
    while rest and not rest.endswith("\n") and len(rest) == _MOST:
        rest = source.readline(_MOST)
        skipped += len(rest)
        if skipped > _MOST_SKIPPED:
            return ""
    return line if line.endswith("\n") or not skipped else f"{line}\n"

"""Text on paper: keeping numbers with their units, measuring and wrapping lines."""

from __future__ import annotations

import re

import wcwidth

from engine.foundation.plain_text import cleaned
from engine.quantities.units import UNITS

WIDTH = 80
"""Columns of a printed line."""

_LONGEST_FIRST = sorted(UNITS, key=lambda name: (-len(name), name))
_QUANTITY = re.compile(r"(?<=\d) (?=(?:" + "|".join(map(re.escape, _LONGEST_FIRST)) + r")(?![\w/]))")
_GROUP = re.compile(r"(?<=\d) (?=\d{3}(?!\d))")
_UNIT = re.compile(r"(?<!\w)(?:" + "|".join(re.escape(name) for name in _LONGEST_FIRST if " " in name) + r")(?![\w/])")
_NO_BREAK = "\u00a0"


def unparted(text: str) -> str:
    """The text, cleaned, with spaces that break no line inside its quantities (`10 000 US gal`)."""
    whole = _QUANTITY.sub(_NO_BREAK, _GROUP.sub(_NO_BREAK, cleaned(text)))
    return _UNIT.sub(lambda found: found[0].replace(" ", _NO_BREAK), whole)


def unbroken_words(text: str) -> list[str]:
    """The words of a text, a number with its unit being one, so that no line parts them."""
    return [word.replace(_NO_BREAK, " ") for word in unparted(text).split(" ") if word]


def columns(text: str) -> int:
    """Columns that a text takes on paper: wide characters and emoji two, marks that sit on others none."""
    # A mark that has nothing to sit on takes a column behind a space, and none by itself.
    return max(wcwidth.width(text), wcwidth.width(f" {text}") - 1)


def wrapped(text: str, first: str = "", rest: str | None = None, width: int = WIDTH) -> str:
    """A paragraph in lines of at most `width` columns.

    Args:
        text: the paragraph; its own line breaks count as spaces.
        first: what stands before the first line, such as `  1. `.
        rest: what stands before the others; by default as many spaces as `first` is wide.
        width: columns of a line, wider than what stands before it.

    Returns:
        The lines, joined by line breaks. A word is parted only where it is longer than a whole line.
    """
    hang = " " * columns(first) if rest is None else rest
    lines: list[str] = []
    line, free = first, width - columns(first)
    fresh = True
    room = width - max(columns(first), columns(hang))
    for word in (piece for whole in unbroken_words(text) for piece in _pieces(whole, room)):
        wide = columns(word)
        needed = wide if fresh else wide + 1
        if needed > free:
            lines.append(line)
            line, free, fresh, needed = hang, width - columns(hang), True, wide
        line += word if fresh else f" {word}"
        free -= needed
        fresh = False
    return "\n".join([*lines, line.rstrip()])


def longest_word(text: str) -> int:
    """Columns of the longest word of a text, a number with its unit being one."""
    return max(map(columns, unbroken_words(text)), default=0)


def _pieces(word: str, room: int) -> list[str]:
    """The word, parted where it is wider than the room of a whole line, never inside what shows as one sign."""
    if columns(word) <= room:
        return [word]
    # The library's own wrapping takes seconds for a word of thousands of signs.
    pieces, free = [""], room
    for sign in wcwidth.iter_graphemes(word):
        wide = columns(sign)
        if wide > free and pieces[-1]:
            pieces.append("")
            free = room
        pieces[-1] += sign
        free -= wide
    return pieces

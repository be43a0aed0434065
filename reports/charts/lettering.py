"""How wide a text may come out in a drawing, and its lines in a given width; rather too wide than too narrow."""

from __future__ import annotations

import unicodedata
from functools import lru_cache

from engine.foundation.plain_text import cleaned
from reports.text_layout import columns, unbroken_words

LINE = 1.25
"""From one line to the next, in sizes of the letters."""

_WIDE = frozenset("MWmw@%—…")
_NARROW_SIGNS = frozenset("\u2018\u2019\u201c\u201d\u2013\u2212\u2192\u2264\u2265")
_EM_WIDE, _EM_CAPITAL, _EM_USUAL, _EM_FULL = 1.0, 0.75, 0.63, 1.1
"""Widths in sizes of the letters, at or above those of the common fonts; a monospaced one may stand in, at 0.602."""


def shown(text: str) -> str:
    """A text as it may stand in a drawing: one line, nothing that turns the direction or moves other letters."""
    return cleaned(text)


def width_of(text: str, size: float) -> float:
    """The width that a text takes at most, in the unit of its size, whatever plain font it is set in."""
    return size * sum(map(_em, text))


def lines_in(text: str, width: float, size: float) -> tuple[str, ...]:
    """The text in lines no wider than `width`; a word is parted only where it is wider than a line of its own."""
    lines: list[str] = []
    for word in unbroken_words(text):
        if lines and width_of(f"{lines[-1]} {word}", size) <= width:
            lines[-1] += f" {word}"
        else:
            lines += _parted(word, width, size)
    return tuple(lines)


def _parted(word: str, width: float, size: float) -> list[str]:
    parts = [""]
    for char in word:
        if parts[-1] and width_of(parts[-1] + char, size) > width:
            parts.append("")
        parts[-1] += char
    return parts


@lru_cache(maxsize=4096)
def _em(char: str) -> float:
    if char in _WIDE:
        return _EM_WIDE
    if unicodedata.category(char) in ("Mn", "Me"):
        return 0.0
    if columns(char) > 1 or ord(char) > 0x2FFF:
        return _EM_FULL
    if char.isupper() and ord(char) < 0x250:
        return _EM_CAPITAL
    # Beyond the letters of Europe fonts differ, so each sign gets a full square.
    return _EM_USUAL if ord(char) < 0x250 or char in _NARROW_SIGNS else _EM_FULL

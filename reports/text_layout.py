"""Text on paper: cleaning what people typed, measuring columns, and wrapping without cutting words."""

from __future__ import annotations

import re
import unicodedata

import wcwidth

from engine.quantities.units import UNITS

WIDTH = 80
"""Columns of a printed line."""

_DROPPED = frozenset({"Cc", "Cf", "Cs", "Co", "Cn"})
"""Control, format (right-to-left marks among them), surrogate, private and unassigned characters."""
_EMOJI_MARK = "\ufe0f"
"""Makes the sign before it an emoji, which may take one column more."""
_BEGUN_UNITS = frozenset(" ".join(name.split()[:count]) for name in UNITS for count in range(1, len(name.split()) + 1))
"""Units and the beginnings of units of several words."""
_AFTER_A_DIGIT = re.compile(r"[0-9]((?: [^ 0-9]+)*)$")
_GROUP = re.compile(r"[0-9]{3}")
_JOINERS = frozenset("\u200c\u200d")
"""Format characters that some scripts cannot be spelt without; they move nothing but their neighbours."""


def cleaned(text: str) -> str:
    """Text from outside as one line of plain words: no control or direction characters, single spaces."""
    spaced = "".join(" " if char.isspace() else char for char in text)
    kept = (char for char in spaced if char in _JOINERS or unicodedata.category(char) not in _DROPPED)
    return " ".join("".join(kept).split())


def columns(text: str) -> int:
    """Columns that a text takes on paper: wide characters two, marks that sit on others none."""
    return sum(_columns_of(char) for char in text)


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
    for word in (piece for whole in _words(text) for piece in _pieces(whole, room)):
        needed = columns(word) + (0 if fresh else 1)
        if needed > free:
            lines.append(line)
            line, free, fresh, needed = hang, width - columns(hang), True, columns(word)
        line += word if fresh else f" {word}"
        free -= needed
        fresh = False
    return "\n".join([*lines, line.rstrip()])


def longest_word(text: str) -> int:
    """Columns of the longest word of a text, a number with its unit being one."""
    return max(map(columns, _words(text)), default=0)


def _columns_of(char: str) -> int:
    if char == _EMOJI_MARK:
        return 1
    if char in _JOINERS or unicodedata.category(char) in ("Mn", "Me"):
        return 0
    wide = 2 if unicodedata.east_asian_width(char) in ("W", "F") else 1
    # A terminal's own table may be newer than Python's; the wider of the two keeps every line inside.
    return max(wide, wcwidth.wcwidth(char))


def _words(text: str) -> list[str]:
    """The words of a text; a number and the unit after it count as one, so that no line parts them."""
    words: list[str] = []
    for word in text.split():
        if words and _goes_with(words[-1], word):
            words[-1] += f" {word}"
        else:
            words.append(word)
    return words


def _goes_with(number: str, word: str) -> bool:
    """Whether a word goes on a number or a unit: its unit, the next word of one (`US gal`), or digits (`10 000`)."""
    bare = word.rstrip(".,;:)]")
    begun = _AFTER_A_DIGIT.search(number)
    if begun is None:
        before = number.lstrip("([").split()
        return any(f"{' '.join(before[-count:])} {bare}" in _BEGUN_UNITS for count in (1, 2))
    return f"{begun[1]} {bare}".strip() in _BEGUN_UNITS or (not begun[1] and _GROUP.fullmatch(bare) is not None)


def _pieces(word: str, room: int) -> list[str]:
    """The word, parted where it is wider than the room of a whole line."""
    if columns(word) <= room:
        return [word]
    pieces = [""]
    for char in word:
        if columns(pieces[-1] + char) > room:
            pieces.append("")
        pieces[-1] += char
    return pieces

"""What the code page of a screen, printer or file cannot show, in plain signs that say the same."""

from __future__ import annotations

import codecs
import sys
import unicodedata
from collections.abc import Mapping

LEGIBLE = "legible"
"""Name of the way to meet signs that cannot be encoded, as `errors=` takes it."""

_SPELT: Mapping[str, str] = {
    "\N{DEGREE SIGN}": "deg ",
    "\N{MICRO SIGN}": "u",
    "\N{GREEK SMALL LETTER MU}": "u",
    "\N{GREEK CAPITAL LETTER OMEGA}": "Ohm",
    "\N{OHM SIGN}": "Ohm",
    "\N{RIGHTWARDS ARROW}": "->",
    "\N{LEFTWARDS ARROW}": "<-",
    "\N{LESS-THAN OR EQUAL TO}": "<=",
    "\N{GREATER-THAN OR EQUAL TO}": ">=",
    "\N{ALMOST EQUAL TO}": "~",
    "\N{PLUS-MINUS SIGN}": "+/-",
    "\N{MULTIPLICATION SIGN}": "x",
    "\N{DIVISION SIGN}": "/",
    "\N{FRACTION SLASH}": "/",
    "\N{MIDDLE DOT}": ".",
    "\N{BULLET}": "-",
    "\N{CHECK MARK}": "x",
    "\N{BALLOT BOX}": "[ ]",
    "\N{BALLOT BOX WITH CHECK}": "[x]",
    "\N{BALLOT BOX WITH X}": "[x]",
    "\N{INVERTED QUESTION MARK}": "",
    "\N{INVERTED EXCLAMATION MARK}": "",
    "\N{LEFT-POINTING DOUBLE ANGLE QUOTATION MARK}": '"',
    "\N{RIGHT-POINTING DOUBLE ANGLE QUOTATION MARK}": '"',
    "\N{LATIN SMALL LETTER SHARP S}": "ss",
    "\N{LATIN SMALL LETTER AE}": "ae",
    "\N{LATIN CAPITAL LETTER AE}": "AE",
    "\N{LATIN SMALL LETTER O WITH STROKE}": "o",
    "\N{LATIN CAPITAL LETTER O WITH STROKE}": "O",
    "\N{EURO SIGN}": "EUR",
}
"""Signs that nothing else explains. Source for `u`: ISO 2955:1983, units where letters are few (from memory)."""

_UNKNOWN = "?"
_BARE = frozenset({"Mn", "Me", "Cf"})
"""Marks on other letters, and characters that only format: nothing stands for them."""


def legible(text: str, encoding: str | None) -> str:
    """The text with every sign that an encoding lacks replaced by plain ones that say the same.

    Args:
        text: any text.
        encoding: a name that Python knows, or None for UTF-8.

    Returns: the text, which can be encoded; a sign that nothing stands for is a question mark.
    """
    name = encoding or "utf-8"
    return text.encode(name, errors=LEGIBLE).decode(name)


def write_legibly() -> None:
    """From now on what this process prints is legible in the code pages of its standard output and error."""
    for stream in (sys.stdout, sys.stderr):
        # A stream that a caller has put in their place may know no code page.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors=LEGIBLE)


def _in_plain_signs(error: UnicodeError) -> tuple[str | bytes, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(map(_spelt, error.object[error.start : error.end])), error.end


def _spelt(char: str) -> str:
    """One sign in ASCII, which every code page has."""
    if char in _SPELT:
        return _SPELT[char]
    kind, name = unicodedata.category(char), unicodedata.name(char, "")
    if kind == "Pd" or name == "MINUS SIGN":
        return "-"
    if "QUOTATION MARK" in name:
        return '"' if "DOUBLE" in name else "'"
    if name.startswith("BOX DRAWINGS"):
        return _drawn_line(name)
    # Letters without their accents, raised figures as figures, a narrow or bound space as a space.
    parts = unicodedata.normalize("NFKD", char)
    if parts == char:
        return "" if kind in _BARE else _UNKNOWN
    return "".join(part if part.isascii() else _spelt(part) for part in parts)


def _drawn_line(name: str) -> str:
    """A piece of a drawn line, by its Unicode name."""
    lying, standing = ("HORIZONTAL" in name), ("VERTICAL" in name)
    if lying == standing:
        return "+"
    return "-" if lying else "|"


codecs.register_error(LEGIBLE, _in_plain_signs)

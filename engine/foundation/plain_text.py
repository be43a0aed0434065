"""Text from outside made harmless, one line without characters that cannot be shown or stored; and made comparable."""

from __future__ import annotations

import unicodedata
from functools import lru_cache

_DROPPED = frozenset({"Cc", "Cf", "Cs", "Co", "Cn"})
"""Control, format (right-to-left marks among them), surrogate, private and unassigned characters."""
_JOINERS = frozenset("\u200c\u200d")
"""Format characters that some scripts cannot be spelt without; they move nothing but their neighbours."""


def cleaned(text: str) -> str:
    """Text from outside as one line of plain words: no control or direction characters, single spaces."""
    if text.isprintable():  # nearly always, and a tenth of the time
        return " ".join(text.split())
    spaced = "".join(" " if char.isspace() else char for char in text)
    kept = (char for char in spaced if char in _JOINERS or unicodedata.category(char) not in _DROPPED)
    return " ".join("".join(kept).split())


@lru_cache(maxsize=8192)
def without_accents(text: str) -> str:
    """A text in plain small letters, `presion` for `Presión`: many people type no accents.

    Rules that look through a folder ask for each of its texts several times.
    """
    if text.isascii():
        return text.lower()
    split = unicodedata.normalize("NFD", text)
    return "".join(char for char in split if unicodedata.category(char) != "Mn").casefold()

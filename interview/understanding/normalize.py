"""Words made comparable: small letters, no accents."""

from __future__ import annotations

import unicodedata


def without_accents(text: str) -> str:
    """A text in plain small letters, `presion` for `Presión`: many people type no accents."""
    if text.isascii():
        return text.lower()
    split = unicodedata.normalize("NFD", text)
    return "".join(char for char in split if unicodedata.category(char) != "Mn").casefold()

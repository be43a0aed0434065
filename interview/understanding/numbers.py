"""Words for units, as people of each language type them, turned into the signs that every language shares."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from functools import lru_cache

from engine.foundation.texts import said
from engine.quantities.quantity import QuantityError, Reading, read_quantity
from interview.understanding.normalize import without_accents


def in_signs(typed: str) -> str:
    """A typed number or unit with its unit's words as a sign: `3,2 g/L` for `3,2 gramos por litro`."""
    pattern, signs = _words_of(*said("units.spelled").items())
    # Letters keep their places, so that only what is a unit's word changes.
    plain = "".join(without_accents(char)[:1] or char for char in unicodedata.normalize("NFC", typed))
    pieces, at = [], 0
    whole = unicodedata.normalize("NFC", typed)
    for found in pattern.finditer(plain):
        pieces += [whole[at : found.start()], signs[" ".join(found[0].split())]]
        at = found.end()
    return "".join([*pieces, whole[at:]])


def read_typed(typed: str, unit: str, about: str, possible: tuple[float, float] | None) -> Reading:
    """A typed quantity, with its unit as a sign or in words of the language in use; all else as `read_quantity`.

    Raises:
        QuantityError: the text is no such quantity, or could be two; nothing is guessed.
    """
    try:
        return read_quantity(typed, unit, about, possible)
    except QuantityError:
        signs = in_signs(typed)
        if signs == unicodedata.normalize("NFC", typed):
            raise
        return read_quantity(signs, unit, about, possible)


@lru_cache(maxsize=4)
def _words_of(*spelled: tuple[str, str]) -> tuple[re.Pattern[str], Mapping[str, str]]:
    """What finds the words of units, the longest first, and the sign of each, from each sign with its words."""
    signs = {without_accents(word.strip()): sign for sign, words in spelled for word in words.split(",")}
    longest_first = sorted(signs, key=len, reverse=True)
    words = "|".join(r"\s+".join(map(re.escape, word.split())) for word in longest_first)
    return re.compile(rf"(?<![^\W\d_])(?<!/)(?:{words})(?![\w/])"), signs

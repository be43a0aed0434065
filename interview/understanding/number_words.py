"""Small numbers said in words before a stretch of time, turned into figures: `1 year` for `a year`."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from functools import lru_cache

from engine.foundation.texts import say
from interview.understanding.normalize import without_accents


def in_figures(line: str) -> str:
    """A line of facts with `a year` or `six months` as `1 year`, `6 months`; all else as it was.

    Left as said are those that are one end of something vague (`a year or two`, `half a year`), for another number
    than the figure is meant there, and all other words for numbers.
    """
    pattern, figures = _counts_of(say("lexicon.counts"), say("lexicon.stretches"), say("lexicon.vague"))
    whole = unicodedata.normalize("NFC", line)
    # Letters keep their places, so that only the number's word changes.
    plain = "".join(without_accents(char)[:1] or char for char in whole)
    pieces, at = [], 0
    for found in pattern.finditer(plain):
        if found["count"]:
            pieces += [whole[at : found.start("count")], figures[found["count"]]]
            at = found.end("count")
    return "".join([*pieces, whole[at:]])


@lru_cache(maxsize=4)
def _counts_of(counts: str, stretches: str, vague: str) -> tuple[re.Pattern[str], Mapping[str, str]]:
    """What finds the numbers' words, and the figure of each; a vague phrase is found first, without a number."""
    figures = {
        word: str(number)
        for number, words in enumerate(counts.split(), 1)
        for word in without_accents(words).split("/")
    }
    number, stretch, open_ended = (
        "|".join(map(re.escape, words))
        for words in (figures, *(without_accents(w).split() for w in (stretches, vague)))
    )
    said = rf"(?:{number})\s+(?:{stretch})"
    numbered = rf"(?P<count>{number})(?=\s+(?:{stretch})\b(?!\s+(?:{open_ended})\b))"
    return re.compile(rf"\b(?:(?:{open_ended})\s+{said}|{numbered})\b"), figures

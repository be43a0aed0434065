"""The phrasebook of a knowledge in the language in use, made when a line is first read and kept."""

from __future__ import annotations

import re

from engine.foundation.plain_text import without_accents
from engine.foundation.texts import language_in_use, say_in
from engine.knowledge.model import Knowledge
from interview.understanding.listening.phrasebook import Phrasebook, phrasebook
from interview.understanding.listening.words import talk_of

_NO_SLIPS = (
    "common",
    "digits",
    "tens",
    "worth",
    "hundred",
    "thousand",
    "point",
    "month_names",
    "stretches",
    "till",
    "either",
)
"""Lists of words that are as they are typed: `eighty` is no slip in `eight`."""

_MOST_KEPT = 3
_KEPT: list[tuple[Knowledge, str, Phrasebook]] = []
"""The phrasebooks made last, the newest first: a knowledge is one object as long as a program runs."""


def book_of(knowledge: Knowledge) -> Phrasebook:
    """The phrasebook of a knowledge in the language in use."""
    language = language_in_use()
    for known, spoken, book in _KEPT:
        if known is knowledge and spoken == language:
            return book
    made = phrasebook(knowledge, knowledge.said(language), talk_of(language), language, _texts(knowledge, language))
    _KEPT[:] = [(knowledge, language, made), *_KEPT[: _MOST_KEPT - 1]]
    return made


def _texts(knowledge: Knowledge, language: str) -> set[str]:
    """Words that are no slips in others: the common ones, and those of the catalogue's texts."""
    wordings = [
        each.wording for kind in (knowledge.checks, knowledge.causes, knowledge.repairs) for each in kind.values()
    ]
    hows = [check.how for check in knowledge.checks.values()]
    texts = [
        *(say_in(language, f"listening.{name}") for name in _NO_SLIPS),
        *(w.customer for w in (*wordings, *hows)),
        *(w.technician for w in hows),
    ]
    return {word for text in texts for word in re.findall(r"[^\W\d_]+", without_accents(text).replace("'", ""))}

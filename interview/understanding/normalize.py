"""Words made comparable and showable: small letters, one line, few of many."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import reduce

from engine.foundation.plain_text import cleaned, without_accents
from engine.foundation.texts import say

LONGEST = 2000
"""So many characters a typed line may have."""


def letter_by_letter(text: str) -> str:
    """A text in plain small letters, each in the place where it stands in the composed text (NFC)."""
    if text.isascii():
        return text.lower()
    return "".join(without_accents(char)[:1] or char for char in unicodedata.normalize("NFC", text))


def clean(text: str) -> str:
    """Typed text on one line, without characters that cannot be shown or stored."""
    return cleaned(text)


def too_long(text: str) -> str:
    """What is said of a line that is longer than any may be, so that nothing is cut unseen; empty for any other."""
    if len(text) <= LONGEST or len(clean(text)) <= LONGEST:
        return ""
    return say("answering.too_long", most=LONGEST)


def one_of(items: Sequence[str], most: int) -> str:
    """`a or b or another`: the first `most` of several that may be meant."""
    named = reduce(lambda before, last: say("answering.or", before=before, last=last), items[:most])
    return say("answering.or_another", before=named) if len(items) > most else named


def as_sentence(message: str, typed: str) -> str:
    """A refusal as a sentence; where it begins with a word that was typed, that stays as it was typed.

    >>> as_sentence("psi measures pressure", "12 psi"), as_sentence("no part is called so", "cel")
    ('psi measures pressure.', 'No part is called so.')
    """
    first, *_ = message.split(maxsplit=1) or [""]
    begun = message if first.rstrip(":,;") in typed else message[:1].upper() + message[1:]
    return f"{begun}."


def shortened(text: str) -> str:
    """A text as it is quoted: at most 30 characters of it."""
    return text if len(text) <= 30 else text[:27] + "..."

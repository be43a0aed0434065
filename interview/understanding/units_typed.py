"""Whether typed text is a unit as people spell it."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from engine.quantities.units import ASK_WHICH, KINDS
from interview.understanding.numbers import in_signs

_KEYS = frozenset(key for kind in KINDS.values() for key in kind.spellings) | frozenset(ASK_WHICH)
_LONGEST = 40


def is_unit(typed: str) -> bool:
    """Whether a text is a unit as people spell it."""
    return len(typed) <= _LONGEST and (_key(typed) in _KEYS or _key(in_signs(typed)) in _KEYS)


def is_plain_degrees(typed: str) -> bool:
    """Whether a unit is degrees of which nobody says whose."""
    return ASK_WHICH.get(_key(in_signs(typed)), ("", "", ""))[2] == "degrees"


def is_age(typed: str) -> bool:
    """Whether a unit is one of how long ago: days, months, years."""
    ages = KINDS["age"].spellings
    return _key(typed) in ages or _key(in_signs(typed)) in ages


@lru_cache(maxsize=2000)
def _key(typed: str) -> str:
    """A typed unit in the form of the spelling tables."""
    text = re.sub(r"\s+(?:per|an?)\s+", "/", unicodedata.normalize("NFKC", typed).strip().lower())
    return re.sub(r"[\s.()^]+", "", text)

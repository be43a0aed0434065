"""The words in capitals that stand for what is typed, in the language in use."""

from __future__ import annotations

import re

from engine.foundation.texts import said


def in_their_words(shown: str) -> str:
    """How something is typed, such as `JOB|last`, with its words in capitals in the language in use."""
    words = said("help.metavars")
    return re.sub(r"[A-Z]{2,}", lambda found: words.get(found[0], found[0]), shown)

"""Which words go on as a half-typed line ends, for the Tab key; pure."""

from __future__ import annotations

import re
from collections.abc import Iterable

from engine.foundation.plain_text import without_accents
from engine.quantities.units import UNITS
from interview.messages import Question
from interview.understanding.keywords import all_commands

_MOST = 40
_BEGINNINGS = re.compile(r"(?<![^\W_])[^\W_]|\?")


def completions(typed: str, words: Iterable[str]) -> list[tuple[str, int]]:
    """What may stand at the end of a line, each with how many of its last letters it takes the place of.

    The longest end of the line that begins a word counts: `ask salt t` goes on as `salt test`, not as a word on `t`.
    Nothing typed goes on as everything; accents and capitals make no difference.

    Args: the line before the cursor; the answers, names, commands and units that may be typed here, the nearest first.
    """
    known = list(dict.fromkeys(word for word in words if word))
    if not typed.strip():
        return [(word, len(typed)) for word in known[:_MOST]]
    for found in _BEGINNINGS.finditer(typed):
        begun = typed[found.start() :]
        fitting = [word for word in known if _begins(begun, word)]
        if fitting:
            return [(word, len(begun)) for word in fitting[:_MOST]]
    return []


def _begins(begun: str, word: str) -> bool:
    plain, whole = without_accents(begun), without_accents(word)
    return whole.startswith(plain) and whole != plain


def words_for(question: Question) -> list[str]:
    """The words that may be typed at a question: its answers or units, commands, and names of checks."""
    measure = question.measure
    units = [] if measure is None else [name for name in UNITS if UNITS[name].kind == UNITS[measure.unit].kind]
    names = question.names() if question.names is not None else ()
    return [*(choice.text for choice in question.choices), *units, *all_commands(), *names]

"""A count of so many that is typed in words and figures: `4 to 6`, `between four and six`, `about 5`, `none`."""

from __future__ import annotations

import re
from collections.abc import Mapping

from engine.foundation.plain_text import without_accents
from engine.foundation.texts import once_a_language, say
from engine.proving.eliciting import OUT_OF, Counted, counted

_STROKES = str.maketrans("\N{EN DASH}\N{EM DASH}", "--")


def count_typed(typed: str) -> Counted | None:
    """How many of twenty are meant: one figure, or the fewest and the most; None where that is not certain."""
    plain = without_accents(typed).translate(_STROKES)
    plain = re.sub(rf"\s(?:{'|'.join(_words('of'))})\s+{OUT_OF}\s*$", "", plain)
    words = re.findall(r"[^\W\d_]+(?:-[^\W\d_]+)*|\d+(?:[.,]\d+)?|\S", plain)
    # What opens a range, such as `between`, says nothing once both its ends stand there.
    kept = [word for word in words if word not in _words("around")]
    signs = ["-" if word in _words("to") else _numbers().get(word, word) for word in kept]
    return counted("".join(signs)) if _alternates(signs) else None


def _alternates(signs: list[str]) -> bool:
    """Whether these are figures with one stroke between each two: `10 14` is no figure of four digits."""
    return all((sign == "-") == bool(at % 2) for at, sign in enumerate(signs))


@once_a_language
def _words(name: str) -> tuple[str, ...]:
    return tuple(without_accents(word.strip()) for word in say(f"eliciting.typed.{name}").split(","))


@once_a_language
def _numbers() -> Mapping[str, str]:
    """Number words of the language in use, and what is said in their place, each with its figure."""
    listed = f"{say('eliciting.typed.numbers')} {say('step_talk.numbers')}"
    return {word: value for value, word in (without_accents(each).split("=") for each in listed.split())}

"""The words that can be typed at any question: those of the language in use, and always the English ones too."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from engine.foundation.plain_text import without_accents
from engine.foundation.text_catalog import Phrases
from engine.foundation.texts import once_a_language, said, say
from interview.understanding.normalize import letter_by_letter

_APOSTROPHE = "\N{RIGHT SINGLE QUOTATION MARK}"


@once_a_language
def command_words(name: str) -> frozenset[str]:
    """All that may be typed for a command, in small letters without accents."""
    return frozenset(_parted(said("commands.typed")[name]) + _parted(_in_english(name)))


def behind(name: str, typed: str, parting: str = "") -> str | None:
    """What is typed behind a command's word; None where the text does not begin with it.

    Args: `parting`, signs that may stand between the two, as a set of a regular expression; without any it is a space.
    """
    found = _command_pattern(name, parting).fullmatch(letter_by_letter(typed.replace(_APOSTROPHE, "'")))
    if found is None:
        return None
    return unicodedata.normalize("NFC", typed)[found.start(1) :] if found[1] else ""


@once_a_language
def _command_pattern(name: str, parting: str) -> re.Pattern[str]:
    """What finds a command's word and what stands behind it."""
    longest_first = sorted(command_words(name), key=len, reverse=True)
    words = "|".join(map(re.escape, longest_first))
    return re.compile(rf"(?:{words})" + (rf"\b[\s{parting}]*(.*)" if parting else r":*(?: (.*))?"))


def shown_commands() -> tuple[tuple[str, str], ...]:
    """What can be typed at any question, each with what it does."""
    return tuple((word, say(f"talk.commands.{name}")) for name, word in said("commands.shown").items())


@once_a_language
def all_commands() -> tuple[str, ...]:
    """Every word that can be typed for a command, those that are shown first."""
    shown = [word.removesuffix(" ...") for word in said("commands.shown").values()]
    typed = [word for name in said("commands.typed") for word in sorted(command_words(name))]
    return tuple(word for word in dict.fromkeys((*shown, *typed)) if word.replace("'", "").replace(" ", "").isalpha())


def _parted(words: str) -> tuple[str, ...]:
    return tuple(without_accents(word.strip()) for word in words.split(","))


@lru_cache(maxsize=32)
def _in_english(name: str) -> str:
    return Phrases().said("commands.typed")[name]

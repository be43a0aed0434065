"""When typed words count as meaning other words: the same, their beginnings, or all but their endings; pure."""

from __future__ import annotations

import re

from engine.foundation.plain_text import without_accents
from engine.foundation.texts import say

_WORD = re.compile(r"[^\W_]+")
_LONGEST_ENDING, _SHORTEST_STEM = 3, 4


def words_of(text: str) -> list[str]:
    """The words of a text in plain small letters; an underscore parts words."""
    return _WORD.findall(without_accents(text))


def in_plain_words(text: str) -> str:
    """The words of a text in plain small letters, a space between them."""
    return " ".join(words_of(text))


def without_articles(text: str) -> list[str]:
    """The words of a text that tell one thing from another."""
    words = words_of(text)
    return [word for word in words if word not in say("listening.articles").split()] or words


def whole_first_words(typed: str, said: str) -> bool:
    """The typed words are the first whole words of what is said: `no` is "No, it is dark", not "Nothing"."""
    words = words_of(typed)
    return bool(words) and words == words_of(said)[: len(words)]


def begins(typed: str, said: str) -> bool:
    """What is said begins with what is typed, letter by letter."""
    return bool(words_of(typed)) and in_plain_words(said).startswith(in_plain_words(typed))


def each_begins(typed: str, said: str) -> bool:
    """Each typed word begins a word of what is said."""
    words = words_of(said)
    parts = words_of(typed)
    return bool(parts) and all(any(word.startswith(part) for word in words) for part in parts)


def akin(one: str, other: str) -> bool:
    """Whether two words are the same but for their endings: `cleaned` and `clean`."""
    short, long = sorted((one, other), key=len)
    ending = len(long) - len(short)
    return short == long or (len(short) >= _SHORTEST_STEM and long.startswith(short) and ending <= _LONGEST_ENDING)

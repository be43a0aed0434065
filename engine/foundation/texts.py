"""The door to the words in use, below every module that reads words, so that a reader of YAML can say what is wrong."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import wraps
from typing import ParamSpec, Protocol, TypeVar

Arguments = ParamSpec("Arguments")
Result = TypeVar("Result")


class Voice(Protocol):
    """Whatever knows the words of one language; `engine.foundation.text_catalog.Phrases` is the one there is."""

    language: str

    def say(self, key: str, /, **fields: object) -> str:
        """The text of a key, with its fields filled in."""

    def said(self, key: str, /) -> Mapping[str, str]:
        """The texts directly under a key, by their own names."""

    def other(self, language: str) -> Voice:
        """The words of another language, out of the same folders."""


_IN_USE: list[Voice] = []
"""One process speaks one language; a list, so that it can be changed without a `global` statement."""


def speak_with(voice: Voice) -> None:
    """From now on the words are these."""
    _IN_USE[:] = [voice]


def language_in_use() -> str:
    """The code of the language spoken now."""
    return _IN_USE[0].language


def say(key: str, /, **fields: object) -> str:
    """The text of a key in the language in use, with its fields filled in.

    Raises:
        KeyError: for a key or a field that there is none of: a fault of the program, which a test finds first.
    """
    return _IN_USE[0].say(key, **fields)


def say_in(language: str, key: str, /) -> str:
    """The text of a key in another language than the one in use; English where that lacks it."""
    voice = _IN_USE[0]
    return (voice if language == voice.language else voice.other(language)).say(key)


def said_in(language: str, key: str, /) -> Mapping[str, str]:
    """The texts directly under a key in another language than the one in use, by their own names."""
    voice = _IN_USE[0]
    return (voice if language == voice.language else voice.other(language)).said(key)


def said(key: str, /) -> Mapping[str, str]:
    """The texts directly under a key in the language in use, by their own names, in the order of the file."""
    return _IN_USE[0].said(key)


def told(key: str, /, **fields: object) -> tuple[str, str]:
    """What is wrong and what to do instead: the texts `what` and `advice` under a key, with their fields filled in."""
    return say(f"{key}.what", **fields), say(f"{key}.advice", **fields)


def once_a_language(make: Callable[Arguments, Result]) -> Callable[Arguments, Result]:
    """Keep what a function makes of the words in use, for each of its arguments, until other words are in use.

    Args: a function of few different arguments, all hashable.
    """
    kept: dict[object, Result] = {}
    made_of: list[Voice] = []

    @wraps(make)
    def once(*args: Arguments.args, **kwargs: Arguments.kwargs) -> Result:
        if not made_of or made_of[0] is not _IN_USE[0]:
            kept.clear()
            made_of[:] = _IN_USE
        asked = (args, *kwargs.items())
        if asked not in kept:
            kept[asked] = make(*args, **kwargs)
        return kept[asked]

    return once

"""The door to the words in use, below every module that reads words, so that a reader of YAML can say what is wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
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
"""What a process speaks; a list, so that it can be changed without a `global` statement."""
_HERE: ContextVar[Voice | None] = ContextVar("voice", default=None)
"""What is spoken instead in one part of a program that serves people of several languages."""


def speak_with(voice: Voice) -> None:
    """From now on the words are these."""
    _IN_USE[:] = [voice]


@contextmanager
def speaking(voice: Voice) -> Iterator[None]:
    """Inside, in this thread or task alone, the words are these; other threads and tasks go on with theirs."""
    before = _HERE.set(voice)
    try:
        yield
    finally:
        _HERE.reset(before)


def _voice() -> Voice:
    return _HERE.get() or _IN_USE[0]


def language_in_use() -> str:
    """The code of the language spoken now."""
    return _voice().language


def say(key: str, /, **fields: object) -> str:
    """The text of a key in the language in use, with its fields filled in.

    Raises:
        KeyError: for a key or a field that there is none of: a fault of the program, which a test finds first.
    """
    return _voice().say(key, **fields)


def say_in(language: str, key: str, /) -> str:
    """The text of a key in another language than the one in use; English where that lacks it."""
    voice = _voice()
    return (voice if language == voice.language else voice.other(language)).say(key)


def said_in(language: str, key: str, /) -> Mapping[str, str]:
    """The texts directly under a key in another language than the one in use, by their own names."""
    voice = _voice()
    return (voice if language == voice.language else voice.other(language)).said(key)


def said(key: str, /) -> Mapping[str, str]:
    """The texts directly under a key in the language in use, by their own names, in the order of the file."""
    return _voice().said(key)


def told(key: str, /, **fields: object) -> tuple[str, str]:
    """What is wrong and what to do instead: the texts `what` and `advice` under a key, with their fields filled in."""
    return say(f"{key}.what", **fields), say(f"{key}.advice", **fields)


def once_a_language(make: Callable[Arguments, Result]) -> Callable[Arguments, Result]:
    """Keep what a function makes of the words in use, for each of its arguments, until other words are in use.

    Args: a function of few different arguments, all hashable.
    """
    # What was made, and of which words: taken and set as one, since several threads may speak several languages.
    kept: list[tuple[Voice, dict[object, Result]]] = []

    @wraps(make)
    def once(*args: Arguments.args, **kwargs: Arguments.kwargs) -> Result:
        voice, asked = _voice(), (args, *kwargs.items())
        made = next((found for of, found in kept if of is voice), None)
        if made is None:
            made = {}
            kept[:] = [(voice, made)]
        if asked not in made:
            made[asked] = make(*args, **kwargs)
        return made[asked]

    return once

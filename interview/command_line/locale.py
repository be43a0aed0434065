"""Which language is spoken: the one asked for, else the one of the person's locale, else English."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.resources.abc import Traversable
from pathlib import Path

from engine.foundation.problems import advice_for
from engine.foundation.text_catalog import ENGLISH, LANGUAGES, languages_of, use_language
from engine.foundation.texts import say
from interview.command_line.context import BadInputError, Places

_LOCALE_VARIABLES = ("LC_ALL", "LC_MESSAGES", "LANG")


def locale_language(environment: Mapping[str, str]) -> str:
    """The language's code of a locale, such as `es` of `es_MX.UTF-8`; English where none is named.

    Source: POSIX.1-2017, chapter 8.2: the first of these variables that is not empty decides; `C` and `POSIX` name no
    language (from memory).
    """
    locale = next((environment[name] for name in _LOCALE_VARIABLES if environment.get(name)), "")
    code = locale.partition(".")[0].partition("@")[0].partition("_")[0].lower()
    return code if code.isascii() and code.isalpha() and code not in ("c", "posix") else ENGLISH


def speak(places: Places, environment: Mapping[str, str]) -> str:
    """From now on speak the language asked for, or that of the locale where there is one; its code.

    Raises:
        BadInputError: the language asked for is none of those that there are.
    """
    code = places.language or locale_language(environment)
    # Without a look at whether it is there: what is to be said of a folder that is gone is said in a language too.
    folder = places.faults or Places().faults_folder
    if code != ENGLISH and not _has(folder, code):
        if places.language is not None:
            known = languages_of(folder)
            raise BadInputError(say("opening.no_language", code=code, advice=advice_for(code, known)))
        code = ENGLISH
    use_language(code, places.faults)
    return code


def _has(folder: Traversable | Path, code: str) -> bool:
    """Whether a folder of this language lies in the faults folder or among the shipped ones."""
    if not (code.isascii() and code.isalnum()):
        return False
    return any(place.joinpath(LANGUAGES, code).is_dir() for place in (folder, Places().faults_folder))

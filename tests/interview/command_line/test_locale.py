"""Which language is spoken."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from engine.foundation.text_catalog import use_language
from engine.foundation.texts import language_in_use
from interview.command_line.context import BadInputError, Places
from interview.command_line.locale import locale_language, speak


@pytest.fixture(autouse=True)
def english_again() -> Iterator[None]:
    yield
    use_language("en")


@pytest.mark.parametrize(
    ("environment", "code"),
    [
        ({"LC_ALL": "es_MX.UTF-8", "LANG": "en_US.UTF-8"}, "es"),
        ({"LC_ALL": "", "LC_MESSAGES": "es", "LANG": "C"}, "es"),
        ({"LANG": "es_ES@euro"}, "es"),
        ({"LC_ALL": "C.UTF-8", "LANG": "es_ES.UTF-8"}, "en"),
        ({"LANG": "POSIX"}, "en"),
        ({}, "en"),
    ],
)
def test_the_first_variable_that_is_set_names_the_language(environment: dict[str, str], code: str) -> None:
    """Locale names and the order of the variables: POSIX.1-2017, chapter 8.2 (from memory)."""
    assert locale_language(environment) == code


def test_a_language_asked_for_wins_over_the_locale() -> None:
    assert speak(Places(language="en"), {"LANG": "es_ES.UTF-8"}) == "en"
    assert speak(Places(), {"LANG": "es_ES.UTF-8"}) == "es"
    assert language_in_use() == "es"


def test_a_locale_that_is_not_spoken_here_is_english() -> None:
    assert speak(Places(), {"LANG": "fi_FI.UTF-8"}) == "en"


@pytest.mark.parametrize("code", ["fi", "ES", "../es", "e s"])
def test_a_language_asked_for_that_there_is_not_is_refused_with_those_there_are(code: str) -> None:
    with pytest.raises(BadInputError, match=r"--language: .*es"):
        speak(Places(language=code), {})


def test_going_on_keeps_the_language() -> None:
    assert Places(language="es").command("resume", "x") == "brinecall --language es resume x"

"""Words that can be typed at any question, in the language in use."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from engine.foundation.text_catalog import use_language
from interview.understanding.keywords import behind, command_words


@pytest.fixture(autouse=True)
def english_again() -> Iterator[None]:
    yield
    use_language("en")


def test_keywords_follow_a_change_of_language_and_english_stays() -> None:
    for language, understood in (("en", False), ("es", True), ("en", False)):
        use_language(language)
        assert ("atras" in command_words("back")) is understood
        assert (behind("cannot", "no puedo, sin llave", ",") == "sin llave") is understood
        assert "back" in command_words("back")
        assert behind("cannot", "can't, no key", ",") == "no key"


def test_what_stands_behind_a_keyword_is_as_it_was_typed() -> None:
    assert behind("note", "NOTE: Pump Box WET", ":") == "Pump Box WET"
    assert behind("note", "notebook", ":") is None

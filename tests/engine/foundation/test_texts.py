"""What is made of the words in use is made once, and anew where other words come into use."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from engine.foundation.text_catalog import use_language
from engine.foundation.texts import language_in_use, once_a_language


@pytest.fixture(autouse=True)
def as_before() -> Iterator[None]:
    yield
    use_language("en")


def test_what_is_made_of_words_is_made_once_for_each_argument_in_each_language() -> None:
    made: list[str] = []

    @once_a_language
    def greeting(name: str) -> str:
        made.append(f"{language_in_use()} {name}")
        return made[-1]

    for language in ("en", "es", "en"):
        use_language(language)
        assert [greeting("a"), greeting("b"), greeting("a")] == [f"{language} {name}" for name in ("a", "b", "a")]
    assert made == ["en a", "en b", "es a", "es b", "en a", "en b"]

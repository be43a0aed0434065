"""What is recorded by hand is called by the words of each language, and by those of the files in every one."""

from __future__ import annotations

import pytest

from engine.foundation.text_catalog import use_language
from engine.foundation.texts import said
from engine.session.record import FIELDS
from interview.understanding.record_typed import RecordError, Typed, to_record
from tests.shipped import knowledge

VALUES = {"labour": "90", "travel": "25min", "due": "2026-12-07"}


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_field_is_understood_by_each_of_its_words(language: str) -> None:
    use_language(language)
    try:
        called = {
            field: [word.strip() for word in words.split(",")] for field, words in said("recording.typed").items()
        }
        assert set(called) == {*FIELDS, "part"}
        for field in FIELDS:
            for word in (field, *called[field]):
                (typed,) = to_record([f"{word}={VALUES.get(field, 'A1')}"], {})
                assert typed.about == field, word
        parts = knowledge().parts
        part = next(iter(parts))
        for word in ("part", *called["part"]):
            assert to_record([f"{word}:{part}=2"], parts) == [Typed(f"part:{part}", 2.0)]
    finally:
        use_language("en")


@pytest.mark.parametrize(
    ("language", "typed", "shown"), [("en", "costomer=A", "customer"), ("es", "clente=A", "cliente")]
)
def test_a_slip_is_answered_with_the_word_of_the_language(language: str, typed: str, shown: str) -> None:
    use_language(language)
    try:
        with pytest.raises(RecordError, match=f"`{shown}`"):
            to_record([typed], {})
    finally:
        use_language("en")

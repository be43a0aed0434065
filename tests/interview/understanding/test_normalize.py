"""Words made comparable and showable."""

from __future__ import annotations

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.plain_text import without_accents
from interview.understanding.normalize import clean, letter_by_letter


@given(st.text(st.characters(), max_size=3000))
def test_cleaned_text_can_be_stored_and_shown_on_one_line(typed: str) -> None:
    text = clean(typed)
    assert text.encode("utf-8").decode() == text
    assert len(text.splitlines()) <= 1
    assert clean(text) == text


@given(st.text(alphabet="abcdefghijklmnñopqrstuvwxyzáéíóúü ", max_size=40))
def test_words_without_accents_are_the_same_words(text: str) -> None:
    plain = without_accents(text)
    assert plain.isascii()
    assert without_accents(plain) == plain


@given(st.text(max_size=40))
def test_letter_by_letter_each_stays_in_its_place(text: str) -> None:
    composed = unicodedata.normalize("NFC", text)
    plain = letter_by_letter(text)
    assert len(plain) == len(composed)
    assert all(without_accents(char).startswith(one) or one == char for char, one in zip(composed, plain, strict=True))

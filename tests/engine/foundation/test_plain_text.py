"""What people typed is made harmless."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.plain_text import cleaned

HOSTILE = [
    ("plain words", "plain words"),
    ("two\nlines\tand   gaps", "two lines and gaps"),
    ("\x1b[31mred\x1b[0m", "[31mred[0m"),
    ("a\u202egnp.exe", "agnp.exe"),
    ("zero\u200bwidth\ufeff", "zerowidth"),
    ("\ud800 half a pair", "half a pair"),
    ("\x00\x07\x7f", ""),
    ("{{ 7 * 7 }} {% raw %}", "{{ 7 * 7 }} {% raw %}"),
    ("a\u2028b", "a b"),
]


@pytest.mark.parametrize(("typed", "kept"), HOSTILE)
def test_typed_text_becomes_one_line_of_plain_words(typed: str, kept: str) -> None:
    assert cleaned(typed) == kept


@given(st.text())
def test_cleaned_text_holds_no_control_or_direction_character_and_is_its_own_clean_form(typed: str) -> None:
    kept = cleaned(typed)
    categories = {unicodedata.category(char) for char in kept} - {"Cf"}
    assert not categories & {"Cc", "Cs", "Co", "Cn", "Zl", "Zp"}
    assert {char for char in kept if unicodedata.category(char) == "Cf"} <= set("\u200c\u200d")
    assert cleaned(kept) == kept

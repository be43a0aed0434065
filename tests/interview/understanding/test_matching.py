"""When typed words count as meaning other words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from interview.understanding.matching import akin, begins, each_begins, whole_first_words, words_of

TEXTS = st.text(st.characters(categories=["Lu", "Ll", "Nd", "Zs", "Po"], max_codepoint=0x24F), max_size=30)


@pytest.mark.parametrize(("typed", "said", "fits"), [("no", "No, dark", True), ("no", "Nothing", False)])
def test_a_first_word_is_a_whole_word(typed: str, said: str, fits: bool) -> None:
    assert whole_first_words(typed, said) is fits


@given(TEXTS, TEXTS)
def test_each_looser_way_takes_all_that_the_stricter_one_takes(typed: str, said: str) -> None:
    joined = f"{typed} {said}"
    assert whole_first_words(typed, joined) is bool(words_of(typed))
    for strict, loose in ((whole_first_words, begins), (begins, each_begins)):
        assert loose(typed, joined) or not strict(typed, joined)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [("cleaned", "clean", True), ("salt", "salts", True), ("fuse", "fuse", True), ("ph", "phone", False)],
)
def test_endings_make_no_other_word(one: str, other: str, same: bool) -> None:
    assert akin(one, other) is akin(other, one) is same

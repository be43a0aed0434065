"""Which words Tab goes on with."""

from __future__ import annotations

from interview.understanding.completing import completions

WORDS = ("White scale", "salt test", "salt", "later", "ppm", "presión")


def test_the_longest_end_of_the_line_that_begins_a_word_counts() -> None:
    assert completions("ask salt t", WORDS) == [("salt test", 6)]
    assert completions("4100 p", WORDS) == [("ppm", 1), ("presión", 1)]
    assert completions("pump on, whi", WORDS) == [("White scale", 3)]


def test_accents_and_capitals_make_no_difference() -> None:
    assert completions("WHITE S", WORDS) == [("White scale", 7)]
    assert completions("presió", WORDS) == completions("presio", WORDS) == [("presión", 6)]


def test_nothing_typed_goes_on_as_everything_and_a_stranger_as_nothing() -> None:
    assert [word for word, _ in completions("", WORDS)] == list(WORDS)
    assert completions("zebra", WORDS) == []
    assert completions("salt test", WORDS) == []

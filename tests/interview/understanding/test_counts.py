"""Counts of twenty as people type them; what is not certain is asked again."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.text_catalog import use_language
from engine.proving.eliciting import OUT_OF, Counted
from interview.understanding.counts import count_typed

ENGLISH = {
    "12": (12, 12),
    "10-14": (10, 14),
    "4 to 6": (4, 6),
    "between 4 and 6": (4, 6),
    "from four to six": (4, 6),
    "4 or 5": (4, 5),
    "about 5": (5, 5),
    "14 - 10": (10, 14),
    "2,5": (2.5, 2.5),
    "none": (0, 0),
    "all": (20, 20),
    "12 of 20": (12, 12),
    "4 to 6 out of 20": (4, 6),
    "two or three": (2, 3),
}
SPANISH = {"4 a 6": (4, 6), "entre cuatro y seis": (4, 6), "unas 5": (5, 5), "4 o 5": (4, 5), "ninguna": (0, 0)}
NOT_CERTAIN = (
    "",
    "x",
    "21",
    "-3",
    "1-2-3",
    "nan",
    "inf",
    "10 14",
    "4 to",
    "to 6",
    "1e400",
    "many",
    "4 5 6",
    "4 to to 6",
)


@pytest.mark.parametrize("typed", ENGLISH)
def test_a_count_is_read_as_it_was_meant(typed: str) -> None:
    assert count_typed(typed) == Counted(*ENGLISH[typed])


@pytest.mark.parametrize("typed", SPANISH)
def test_in_spanish_too(typed: str) -> None:
    use_language("es")
    try:
        assert count_typed(typed) == Counted(*SPANISH[typed])
    finally:
        use_language("en")


@pytest.mark.parametrize("typed", NOT_CERTAIN)
def test_what_is_not_certain_is_none(typed: str) -> None:
    assert count_typed(typed) is None


@given(st.integers(0, OUT_OF), st.integers(0, OUT_OF), st.sampled_from([" to ", "-", " - ", " or ", "\N{EN DASH}"]))
def test_two_figures_are_the_fewest_and_the_most(one: int, other: int, between: str) -> None:
    assert count_typed(f"{one}{between}{other}") == Counted(min(one, other), max(one, other))


@given(st.text(max_size=40))
def test_any_line_is_a_count_of_twenty_or_none(typed: str) -> None:
    found = count_typed(typed)
    assert found is None or 0 <= found.low <= found.high <= OUT_OF

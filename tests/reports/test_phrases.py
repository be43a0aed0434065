"""Words for figures: each phrase covers its range, and nothing uncertain is printed as certain."""

from __future__ import annotations

import calendar
import datetime
import re

import pytest
from babel.dates import format_date, format_skeleton
from hypothesis import assume, given
from hypothesis import strategies as st

from engine import in_language
from reports.phrases import (
    chance_in_words,
    date_after,
    day_in_words,
    either,
    joined,
    lowered,
    percent,
    sentence,
    weight_in_words,
    when_it_shows,
)

PHRASES = [
    (1.0, "nearly certain"),
    (0.95, "nearly certain"),
    (0.949, "very likely"),
    (0.8, "very likely"),
    (0.6, "likely"),
    (0.5, "about even"),
    (0.4, "about even"),
    (0.25, "possible"),
    (0.05, "unlikely"),
    (0.049, "very unlikely"),
    (0.0, "very unlikely"),
]


@pytest.mark.parametrize(("probability", "phrase"), PHRASES)
def test_a_chance_has_its_phrase(probability: float, phrase: str) -> None:
    assert chance_in_words(probability) == phrase


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_greater_chance_never_has_a_weaker_phrase(one: float, other: float) -> None:
    ranks = ["very unlikely", "unlikely", "possible", "about even", "likely", "very likely", "nearly certain"]
    low, high = sorted((one, other))
    assert ranks.index(chance_in_words(low)) <= ranks.index(chance_in_words(high))


@given(st.floats(0, 1))
def test_nothing_is_printed_as_impossible_or_certain(probability: float) -> None:
    assert percent(probability) not in ("0 %", "100 %")
    figure = float(percent(probability).split()[-2])
    assert abs(figure - 100 * probability) <= 1.0


# Good's scale: ten decibans are odds of ten to one, five of about three to one (Good 1950, from memory).
@pytest.mark.parametrize(
    ("decibans", "word"), [(10, "strongly"), (-12.5, "strongly"), (5, "clearly"), (-1, "a little")]
)
def test_a_weight_has_its_word(decibans: float, word: str) -> None:
    assert weight_in_words(decibans) == word


def test_lists_read_as_in_a_sentence() -> None:
    assert [joined([]), joined(["a"]), either(["a", "b"]), joined("abc")] == ["", "a", "a or b", "a, b and c"]
    assert joined("abc", "und") == "a, b und c"


@pytest.mark.parametrize(
    ("label", "inside"),
    [("Cell plates", "cell plates"), ("DC volts", "DC volts"), ("pH", "pH"), ("O-ring", "O-ring"), ("", "")],
)
def test_a_label_inside_a_sentence_is_small_unless_it_is_a_name(label: str, inside: str) -> None:
    assert lowered(label) == inside


@given(st.dates(datetime.date(2000, 1, 1), datetime.date(2100, 1, 1)))
def test_the_day_after_follows_the_calendar(day: datetime.date) -> None:
    # Checked against the length of months by the standard library's calendar.
    last = calendar.monthrange(day.year, day.month)[1]
    month = day.month if day.day < last else day.month % 12 + 1
    expected = (
        f"{day.year + (day.day == last and day.month == 12)}-{month:02d}-{day.day + 1 if day.day < last else 1:02d}"
    )
    assert date_after(day.isoformat(), 1) == expected


@pytest.mark.parametrize("date", ["", "yesterday", "2026-02-30", "9999-12-31"])
def test_a_date_that_cannot_be_counted_from_is_left_out(date: str) -> None:
    assert date_after(date, 7) == ""
    assert when_it_shows("next week", date) == "after a week"


def test_a_result_that_shows_later_has_its_date() -> None:
    assert when_it_shows("at once", "2026-05-04") == "at once"
    assert when_it_shows("next day", "2024-02-28") == "the next day (29 February)"


@given(day=st.dates(), language=st.sampled_from(["en", "es"]))
def test_a_date_in_a_sentence_is_written_as_its_language_writes_it(day: datetime.date, language: str) -> None:
    # Source: the Unicode CLDR's long date, as Babel gives it; of English, the form of the United Kingdom.
    with in_language(language):
        written = day_in_words(day.isoformat()), day_in_words(day.isoformat(), soon=True)
    locale = {"en": "en_GB", "es": "es"}[language]
    assert written == (format_date(day, "long", locale=locale), format_skeleton("MMMMd", day, locale=locale))


@given(text=st.text())
def test_what_is_no_date_stands_as_it_is(text: str) -> None:
    assume(not re.match(r"\d{4}-?\d\d-?\d\d|\d{4}-?W", text))
    assert day_in_words(text) == text


def test_a_sentence_begins_large_and_ends() -> None:
    assert [sentence(" a b "), sentence("Done."), sentence("why?"), sentence("")] == ["A b.", "Done.", "Why?", ""]
    assert sentence("pH high") == "pH high."

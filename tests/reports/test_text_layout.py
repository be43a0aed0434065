"""Text on paper: lines are measured, and wrapped to their columns."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.text_layout import columns, longest_word, wrapped

PLAIN = st.text(st.characters(categories=["Lu", "Ll", "Nd", "Po", "Zs"], max_codepoint=0x24F), max_size=400)


# Unicode Standard Annex 11: wide and fullwidth signs take two columns, combining marks none;
# Unicode Technical Standard 51: an emoji with its skin tone, or joined to another, is one sign.
@pytest.mark.parametrize(
    ("text", "wide"),
    [
        ("salt", 4),
        ("Stärke", 6),
        ("水泳プール", 10),
        ("e\u0301te\u0301", 3),
        ("\uff37\uff29\uff24\uff25", 8),
        ("°C µS/cm m³", 11),
        ("ह", 1),
        ("\U0001f44d\U0001f3fd", 2),
        ("\U0001f468\u200d\U0001f467", 2),
    ],
)
def test_columns_are_those_of_the_unicode_standard(text: str, wide: int) -> None:
    assert columns(text) == wide


@given(PLAIN, st.sampled_from(["", "- ", "    12. ", "DANGER   "]), st.integers(20, 100))
def test_no_line_is_wider_than_asked_and_no_word_is_lost(text: str, first: str, width: int) -> None:
    lines = wrapped(text, first, width=width).split("\n")
    assert all(columns(line) <= width for line in lines)
    assert lines[0].startswith(first.rstrip())
    hang = " " * len(first)
    body = [lines[0][len(first) :], *(line[len(hang) :] for line in lines[1:])]
    assert "".join("".join(body).split()) == "".join(text.split())


@given(st.lists(st.text("abcdefgh", min_size=1, max_size=15), min_size=1, max_size=60))
def test_words_that_fit_a_line_are_never_cut(words: list[str]) -> None:
    assert wrapped(" ".join(words), "  ", width=40).split() == words


def test_a_word_longer_than_a_line_is_parted_and_loses_nothing() -> None:
    lines = wrapped("x" * 200, "- ", width=80).split("\n")
    assert [len(line) for line in lines] == [80, 80, 46]
    assert sum(line.count("x") for line in lines) == 200


@pytest.mark.parametrize(
    "quantity",
    ["3450 ppm", "12 %", "25.5 °C,", "50 m³)", "75 US fl oz.", "(10 000 L)", "10 000 US gal", "US gal", "(US fl oz)"],
)
def test_a_number_is_not_parted_from_its_unit(quantity: str) -> None:
    for filler in range(60, 80):
        assert quantity in wrapped("x" * filler + " " + quantity + " and more words after it")


def test_an_empty_paragraph_is_an_empty_line() -> None:
    assert wrapped("") == ""
    assert wrapped("", "- ") == "-"


def test_the_longest_word_counts_a_number_with_its_unit() -> None:
    assert longest_word("add 700 mL of acid") == len("700 mL")
    assert longest_word("") == 0


def test_a_long_run_of_wide_signs_is_parted_between_them() -> None:
    signs = "\U0001f44d\U0001f3fd" * 20_000
    lines = wrapped(signs, width=9).split("\n")
    assert {columns(line) for line in lines} == {8}
    assert "".join(lines) == signs

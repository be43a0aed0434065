"""The words that stand for numbers: what each means, and what is refused."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.knowledge.model import Assumption, Limit, MeterError
from engine.knowledge.number_words import (
    FACTOR_WORDS,
    SHARE_WORDS,
    read_amount,
    read_assumption,
    read_factor,
    read_limit,
    read_meter_error,
    read_possible,
    read_share,
)
from engine.knowledge.properties import PartAmount

# The agreed meaning of each word: a convention of this project, stated in faults/README.md.
SHARES = {
    "always": 1,
    "nearly always": 0.95,
    "usually": 0.8,
    "often": 0.6,
    "sometimes": 0.3,
    "seldom": 0.1,
    "hardly ever": 0.02,
    "never": 0,
}
# What the words mean in English.
FACTORS = {
    "twice": Fraction(2),
    "3 times": Fraction(3),
    "1.5 times": Fraction(3, 2),
    "as usual": Fraction(1),
    "half": Fraction(1, 2),
    "a third": Fraction(1, 3),
    "a quarter": Fraction(1, 4),
    "a fifth": Fraction(1, 5),
    "a tenth": Fraction(1, 10),
}
ANYTHING = st.one_of(
    st.none(), st.text(), st.integers(), st.floats(), st.lists(st.text()), st.dictionaries(st.text(), st.integers())
)


@pytest.mark.parametrize("word", SHARES)
def test_each_word_for_how_often_is_its_number(word: str) -> None:
    assert read_share(word) == SHARES[word]


def test_there_is_no_other_word_for_how_often() -> None:
    assert set(SHARE_WORDS) == set(SHARES)


def test_words_for_how_often_fall_from_always_to_never() -> None:
    assert list(SHARE_WORDS.values()) == sorted(SHARE_WORDS.values(), reverse=True)


@given(st.floats(0, 1, exclude_min=True, exclude_max=True))
def test_a_number_may_stand_for_a_word(share: float) -> None:
    assert read_share(share) == share


@given(st.one_of(st.floats(max_value=0), st.floats(min_value=1), st.integers()))
def test_certainty_and_what_is_no_share_are_refused_in_figures(number: float) -> None:
    with pytest.raises(ValueError, match=r"certainty|not a share of 1"):
        read_share(number)


def test_a_share_in_percent_is_told_how_to_write_it() -> None:
    with pytest.raises(ValueError, match=r"^35 is not a share of 1; write 0\.35 for 35 in 100$"):
        read_share(35)


@pytest.mark.parametrize("word", FACTORS)
def test_each_word_for_a_factor_is_its_number(word: str) -> None:
    assert read_factor(word) == pytest.approx(float(FACTORS[word]), rel=1e-12)


def test_there_is_no_other_word_for_a_factor() -> None:
    assert set(FACTOR_WORDS) == {word for word in FACTORS if "times" not in word}


@given(st.floats(0, exclude_min=True, allow_infinity=False))
def test_a_bare_number_above_nothing_is_a_factor(factor: float) -> None:
    assert read_factor(factor) == factor


@pytest.mark.parametrize("value", [0, -2, "0 times", math.inf, math.nan, "thrice", "times", None, ["twice"]])
def test_what_is_no_factor_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="factor"):
        read_factor(value)


@pytest.mark.parametrize(
    ("text", "limit"),
    [
        ("under 2800", Limit(2800)),
        ("under -2.5", Limit(-2.5)),
        ("under salt.low", Limit(1, "salt.low")),
        ("under lockout", Limit(1, "lockout")),
        ("under 20 % of rated.current", Limit(0.2, "rated.current")),
        ("under 107% of rated.voltage", Limit(1.07, "rated.voltage")),
        ("the rest", None),
    ],
)
def test_where_a_band_ends(text: str, limit: Limit | None) -> None:
    assert read_limit(text) == limit


@pytest.mark.parametrize("value", ["2800", "over 2800", "under", "under half of salt.low", "rest", 2800, 0.5, None])
def test_what_is_no_end_of_a_band_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="not the end of a band; write `under"):
        read_limit(value)


@pytest.mark.parametrize(
    ("value", "reading", "expected"),
    [("5 % or 100", 1000, 100), ("5 % or 100", 4000, 200), ("2 %", 50, 1), (0.2, 7.4, 0.2), (3, -40, 3)],
)
def test_the_larger_of_the_two_errors_counts(value: object, reading: float, expected: float) -> None:
    assert read_meter_error(value).of(reading) == pytest.approx(expected)


def test_an_error_keeps_both_its_parts() -> None:
    assert read_meter_error("5 % or 100") == MeterError(relative=0.05, absolute=100)


@pytest.mark.parametrize("value", ["none", "5", "0 %", 0, -1, "-5 % or 100", None, ["5 %"]])
def test_an_instrument_without_error_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match=r"instrument error|error of"):
        read_meter_error(value)


@given(st.integers(-1000, 1000), st.integers(-1000, 1000))
def test_a_range_rises_or_is_refused(low: int, high: int) -> None:
    text = f"{low} to {high}"
    if low < high:
        assert read_possible(text) == (low, high)
    else:
        with pytest.raises(ValueError, match="back to front"):
            read_possible(text)


@pytest.mark.parametrize(
    ("value", "spread"),
    [
        ("24 give or take 4", Assumption("normal", ((24, 4),))),
        ("50 within a factor 1.6", Assumption("lognormal", ((50, 1.6),))),
        ({"230": 80, "120": 10, "240": 10}, Assumption("mixture", ((230, 0.8), (120, 0.1), (240, 0.1)))),
    ],
)
def test_the_three_forms_of_a_usual_spread(value: object, spread: Assumption) -> None:
    assert read_assumption(value) == spread


FLAT = "the middle must be above 0 and the factor above 1"


@pytest.mark.parametrize(
    ("value", "message"),
    [
        ("24 give or take 0", "`24 give or take 0` has no spread; the number after `give or take` must be above 0"),
        ("5 within a factor 1", f"`5 within a factor 1` has no spread; {FLAT}"),
        ({"230": 80, "120": 10}, "the shares add up to 90; they must add up to 100"),
        ({"volts": 100}, "`volts` is not a number; write it in digits, such as 230 or 0.5"),
    ],
)
def test_a_spread_that_cannot_be_is_refused_with_a_reason(value: object, message: str) -> None:
    with pytest.raises(ValueError) as error:
        read_assumption(value)
    assert str(error.value) == message


@pytest.mark.parametrize(
    ("value", "amount"),
    [
        (1, PartAmount(1.0)),
        ("0.2 L", PartAmount(0.2, "L")),
        (" 3  m ", PartAmount(3.0, "m")),
        ("computed salt_dose", PartAmount(computed="salt_dose")),
    ],
)
def test_an_amount_is_pieces_a_figure_with_its_unit_or_a_computation(value: object, amount: PartAmount) -> None:
    assert read_amount(value) == amount


@pytest.mark.parametrize(
    "value", [0, -1, "0 L", "a lot", "as computed", "computed", "computed salt", "0.2 litres", "2 bags", "1e400 L", ""]
)
def test_any_other_amount_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match=r".+; .+"):
        read_amount(value)


@given(ANYTHING)
def test_anything_else_gets_a_sentence_with_advice(value: object) -> None:
    readers = (read_share, read_factor, read_limit, read_meter_error, read_possible, read_assumption, read_amount)
    for said in filter(None, (_refusal(read, value) for read in readers)):
        what, _, advice = said.partition("; ")
        assert what
        assert advice
        assert "\n" not in said


def _refusal(read: Callable[[object], object], value: object) -> str | None:
    try:
        read(value)
    except ValueError as error:
        return str(error)
    return None

"""Numbers in free lines: times of the clock, years, bounds, ratios, things counted, and whose number each is."""

from __future__ import annotations

from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import Knowledge
from interview.understanding.listening.words import cut
from interview.understanding.quantities_said.figures import figures_in
from tests.shipped import models_in
from tests.spoken.hearing import facts, hear
from tests.spoken.measuring import speaking


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return load_knowledge(files("faults"), "en")


@pytest.mark.parametrize(
    ("line", "check", "value"),
    [
        ("runs from six in the morning till two in the arvo", "run_hours", 8),
        ("pump from 10 till 16", "run_hours", 6),
        ("pump timer is 9-5", "run_hours", 8),
        ("pump runs 7-11 and 4-8", "run_hours", 8),
        ("cell fitted in 2019", "cell_age_years", 7),
        ("cell not cleaned for a year and a half", "months_since_clean", 18),
        ("cell volts -21.5", "cell_voltage", 21.5),
        ("ph was 8.0 last month, today 7.5", "ph", 7.5),
        ("0.2 ph 8.1", "ph", 8.1),
        ("fc 3.0, total 3.1", "combined_chlorine", 0.1),
        ("water is 24 degrees", "water_temp", 24),
    ],
)
def test_a_number_is_read_as_it_is_said(knowledge: Knowledge, line: str, check: str, value: float) -> None:
    assert facts(line, knowledge)[check] == pytest.approx(value, abs=0.01)


@pytest.mark.parametrize(
    ("line", "check"),
    [
        ("pump on under 5 hours a day", "run_hours"),
        ("cell is 4 or 5 years old", "cell_age_years"),
        ("15,000 gallon pool", "pool_volume"),
        ("timer on the pump is 9-5, chlorinator clock set 6pm til midnight", "run_hours"),
    ],
)
def test_a_bound_and_one_of_two_are_offered_and_not_taken(knowledge: Knowledge, line: str, check: str) -> None:
    heard = hear(line, knowledge)
    assert check not in {fact.check for fact in heard.facts}
    assert check in {each.check for item in heard.unclear for each in item.candidates}


@pytest.mark.parametrize("line", ["pump strainer 3/4 full", "watered the sample down 1 to 4", "tax is 21 % on top"])
def test_a_share_and_a_ratio_are_no_readings(knowledge: Knowledge, line: str) -> None:
    assert not [value for value in facts(line, knowledge).values() if isinstance(value, float)]


_ONES = ["uno", "dos", "tres", "cuatro", "cinco", "seis", "siete", "ocho", "nueve"]
_TEENS = ["diez", "once", "doce", "trece", "catorce", "quince", "dieciséis", "diecisiete", "dieciocho", "diecinueve"]
_TWENTIES = [
    "veinte",
    "veintiuno",
    "veintidós",
    "veintitrés",
    "veinticuatro",
    "veinticinco",
    "veintiséis",
    "veintisiete",
    "veintiocho",
    "veintinueve",
]
_TENS = ["treinta", "cuarenta", "cincuenta", "sesenta", "setenta", "ochenta", "noventa"]
_HUNDREDS = [
    "ciento",
    "doscientos",
    "trescientos",
    "cuatrocientos",
    "quinientos",
    "seiscientos",
    "setecientos",
    "ochocientos",
    "novecientos",
]


def _in_spanish(number: int) -> str:
    """A cardinal by the rules of the Real Academia (Ortografía, cardinales; from memory)."""
    if number >= 1000:
        before = "" if number < 2000 else _in_spanish(number // 1000)
        return f"{before} mil {_in_spanish(number % 1000) if number % 1000 else ''}".strip()
    if number >= 100:
        rest = _in_spanish(number % 100) if number % 100 else ""
        return "cien" if number == 100 else f"{_HUNDREDS[number // 100 - 1]} {rest}".strip()
    if number < 30:
        return ["", *_ONES, *_TEENS, *_TWENTIES][number]
    tens = _TENS[number // 10 - 3]
    return f"{tens} y {_ONES[number % 10 - 1]}" if number % 10 else tens


@given(st.integers(2, 9999).filter(lambda number: number < 1000 or number % 1000 > 9))
def test_a_number_in_spanish_words_is_that_number(number: int) -> None:
    """A lone `mil` is as often `mil gracias`, and `tres mil dos` of salt is 3200, as people say it: judgement."""
    with speaking("es"):
        words = cut(f"da {_in_spanish(number)} justos", "es")
        (figure,) = figures_in(f"da {_in_spanish(number)} justos", words, "es", None)
    assert float(figure.number) == number


@given(st.integers(2, 9), st.integers(2, 9), st.integers(1, 9))
def test_hundreds_said_without_their_word_are_hundreds(hundreds: int, tens: int, ones: int) -> None:
    """`two thirty one volts`, as English speakers say numbers of three figures: common practice, no source."""
    english = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
    tens_said = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"][tens - 2]
    short = f"{english[hundreds]} {tens_said} {english[ones]} volts"
    long = f"{english[hundreds]} hundred and {tens_said} {english[ones]} volts"
    for line in (short, long):
        (figure,) = figures_in(line, cut(line, "en"), "en", None)
        assert figure.typed == f"{100 * hundreds + 10 * tens + ones} volts"


@pytest.mark.parametrize(
    ("line", "check"),
    [
        ("tested it twice with two different kits", "owner_test"),
        ("pack fuse fine, 13 amp", "cell_current"),
        ("it had packed up two days before", "unit_age_years"),
    ],
)
def test_what_is_counted_rated_or_only_when_is_no_reading(knowledge: Knowledge, line: str, check: str) -> None:
    assert check not in facts(line, knowledge)


@given(st.integers(12, 20), st.integers(2, 11))
def test_numbers_of_the_last_visit_are_none_of_today(then: int, now: int) -> None:
    with speaking("en"):
        line = f"last service: salt 3400, current {then}, today I get {now}"
        assert facts(line, models_in("en").knowledge)["cell_current"] == now

"""Several facts in one line: what is understood, what is asked back, and that nothing is guessed or lost.

Which words people use is common practice, no source; what a word means is read from the shipped catalogue.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.knowledge.model import ROLES, Check, RoleId
from interview.messages import Understood
from interview.understanding.facts import understand
from tests.shipped import knowledge


def said(line: str, role: RoleId = "counter", settled: tuple[str, ...] = ()) -> Understood:
    return understand(line, knowledge(), role, settled)


def facts(line: str) -> dict[str, str | float]:
    return {fact.check: fact.value for fact in said(line).facts}


WHOLE = [
    ("pump running", "pump_running", "running"),
    ("pump not running", "pump_running", "stopped"),
    ("basket full", "baskets", "blocked"),
    ("return weak", "return_flow", "weak"),
    ("jets weak", "return_flow", "weak"),
    ("weak jets", "return_flow", "weak"),
    ("breaker trips again", "breaker", "trips_again"),
    ("green water", "water_look", "green"),
    ("the pool is green", "water_look", "green"),
    ("unit dead", "unit_power", "dark"),
    ("no bubbles", "cell_bubbles", "none"),
    ("Plates: white", "cell_plates", "white_scale"),
    ("age 5 years", "cell_age_years", 5),
    ("setting 80 %", "output_setting", 80),
    ("8 hours a day", "run_hours", 8),
    ("pool 50 m3", "pool_volume", 50),
    ("pool 50 m\N{SUPERSCRIPT THREE}", "pool_volume", 50),
    ("cleaned 12 months ago", "months_since_clean", 12),
    ("last cleaned 1 year ago", "months_since_clean", 12),
    ("salt test 3.4 g/L", "tested_salt", 3400),
    ("unit salt 3,2 g/L", "unit_salt", 3200),
    ("salt 4100 on the unit", "unit_salt", 4100),
    ("unit shows salt 4100", "unit_salt", 4100),
    ("the strip says salt 3 100", "tested_salt", 3100),
    ("my pool is green", "water_look", "green"),
    ("own test 0.2", "owner_test", 0.2),
    ("water temperature 68 F", "water_temp", 20),
    ("pH7.4", "ph", 7.4),
    ("ph 7,4", "ph", 7.4),
]


@pytest.mark.parametrize(("line", "check", "value"), WHOLE)
def test_one_fact_as_people_say_it(line: str, check: str, value: str | float) -> None:
    # 68 degrees Fahrenheit are 20 degrees Celsius, 1 g/L is taken as 1000 ppm: definitions.
    understood = said(line)
    assert understood.unclear == ()
    (fact,) = understood.facts
    assert (fact.check, fact.value) == (check, pytest.approx(value) if isinstance(value, float) else value)


@pytest.mark.parametrize("comma", [" ", ", ", "; ", "\n", " and "])
def test_a_whole_water_test_in_one_line(comma: str) -> None:
    parts = ["pH 7.6", "ta 110", "hardness 300", "cya 40", "fc 0.5", "cc 0.2", "salt test 3400"]
    assert said(comma.join(parts)).unclear == ()
    assert facts(comma.join(parts)) == {
        "ph": 7.6,
        "alkalinity": 110,
        "hardness": 300,
        "stabiliser": 40,
        "free_chlorine": 0.5,
        "combined_chlorine": 0.2,
        "tested_salt": 3400,
    }


def test_what_may_mean_two_things_is_asked_back() -> None:
    understood = said("salt 4100, plates white, cleaned 12 months ago, 18 C")
    assert {fact.check: fact.value for fact in understood.facts} == {
        "cell_plates": "white_scale",
        "months_since_clean": 12,
    }
    assert [(item.text, set(item.candidates)) for item in understood.unclear] == [
        ("salt 4100", {"tested_salt", "unit_salt"}),
        ("18 C", {"water_temp", "unit_temp"}),
    ]


def test_checks_already_answered_are_named_last() -> None:
    assert said("salt 4100").unclear[0].candidates[-1] == "tested_salt"
    assert said("salt 4100", settled=("unit_salt",)).unclear[0].candidates == ("tested_salt", "unit_salt")


UNCLEAR = [
    ("salt test 1,200", "tested_salt", "can be read as"),
    ("salt test 200000", "tested_salt", "which cannot be"),
    ("hours 30", "run_hours", "which cannot be"),
    ("salt test 18 C", "tested_salt", "measures temperature"),
    ("pool 13000 gal", "pool_volume", "two kinds of gallons"),
    ("plates 12", "cell_plates", "a number is no answer"),
    ("ph 7.2, ph 7.6", "ph", "said twice"),
    ("pump running, pump stopped", "pump_running", "said twice"),
    ("unit salt low", "unit_salt", "say the number"),
    ("plates", "cell_plates", "say also"),
    ("80 kPa", "filter_pressure_rise", "say which"),
]


@pytest.mark.parametrize(("line", "check", "why"), UNCLEAR)
def test_what_is_no_answer_is_told_with_its_reason(line: str, check: str, why: str) -> None:
    understood = said(line)
    assert understood.facts == ()
    (unclear,) = understood.unclear
    assert check in unclear.candidates
    assert why in unclear.why


@pytest.mark.parametrize(
    "line",
    [
        "pump never running",
        "never pump running",
        "pump running never",
        "no white plates",
        "is the pump running?",
        "no pump running",
        "nobody saw bubbles",
        "salt test below 3000",
    ],
)
def test_an_unknown_word_spoils_what_it_may_turn_round(line: str) -> None:
    assert said(line).facts == ()


@pytest.mark.parametrize("line", ["gauge 80 kPa", "test 3", "cell 7.5", "strip 80", "unit 12", "chlorine 1"])
def test_a_number_of_something_nearly_named_is_not_taken(line: str) -> None:
    """The gauge is not its rise above clean, and a strip may test anything."""
    assert said(line).facts == ()


def test_halves_side_by_side_are_asked_back_together() -> None:
    understood = said("no salt added, cleaned yesterday")
    assert understood.facts == ()
    assert [(item.text, item.candidates) for item in understood.unclear] == [
        ("no salt added", ("salt_added",)),
        ("cleaned yesterday", ("months_since_clean",)),
    ]


def test_unknown_words_are_not_dropped() -> None:
    understood = said("xyzzy, pH 7.2, 1e5, 2-3, 42")
    assert [fact.check for fact in understood.facts] == ["ph"]
    assert [item.text for item in understood.unclear] == ["xyzzy", "1e5", "2-3", "42"]


def test_the_same_said_twice_is_one_fact() -> None:
    assert [fact.check for fact in said("pump running, pump runs").facts] == ["pump_running"]


SPOKEN = [
    "pH 7.6",
    "salt test 3400 ppm",
    "plates white",
    "pump running",
    "unit dead",
    "18 C",
    "salt 4100",
    "xyzzy",
    "jets weak",
    "cleaned 12 months ago",
    "8 hours a day",
    "setting 80 %",
    "cc 0.2",
    "fc 0.5",
]


ORDERS = st.lists(st.sampled_from(SPOKEN), min_size=2, max_size=6, unique=True).flatmap(
    lambda parts: st.tuples(st.just(parts), st.permutations(parts))
)


@given(ORDERS)
def test_the_order_of_facts_between_commas_does_not_matter(orders: tuple[list[str], list[str]]) -> None:
    first, other = (said(", ".join(parts)) for parts in orders)
    assert set(other.facts) == set(first.facts)
    assert set(other.unclear) == set(first.unclear)


PIECES = [
    "salt",
    "unit",
    "plates",
    "white",
    "pump",
    "7.6",
    "3,400",
    "18",
    "C",
    "no",
    "not",
    "ph",
    "cc",
    ",",
    "m3",
    "hours",
    "a",
]
ANY_TEXT = st.one_of(
    st.text(max_size=200),
    st.text(alphabet="0123456789.,'- eE%/\N{DEGREE SIGN}mhCpH;\n", max_size=60),
    st.lists(st.sampled_from(PIECES)).map(" ".join),
)


@given(ANY_TEXT, st.sampled_from(ROLES))
def test_any_text_is_understood_or_unclear(line: str, role: RoleId) -> None:
    understood = said(line, role)
    for fact in understood.facts:
        check = knowledge().checks[fact.check]
        if isinstance(fact.value, str):
            assert fact.value in {answer.id for answer in check.answers}
            assert not check.is_number
        else:
            assert check.possible is not None
            assert check.possible[0] <= fact.value <= check.possible[1]
    assert len({fact.check for fact in understood.facts}) == len(understood.facts)
    assert all(
        item.text and item.why and set(item.candidates) <= set(knowledge().checks) for item in understood.unclear
    )


PAIRS = [
    (check.id, answer.id, name, words)
    for check in knowledge().checks.values()
    if not check.is_number
    for answer in check.answers
    for name in (check.id, *check.names)
    for words in (answer.id, *answer.names, answer.wording.customer, answer.wording.technician)
]


def test_every_name_with_every_answer_is_that_answer_or_asked_back() -> None:
    for check, answer, name, words in PAIRS:
        for line in (f"{name} {words}", f"{name}: {words}"):
            understood = said(line)
            meant = {(fact.check, fact.value) for fact in understood.facts}
            asked = {candidate for item in understood.unclear for candidate in item.candidates}
            assert meant <= {(check, answer)}, line
            assert meant or check in asked, line


def test_names_with_the_short_words_of_answers_are_nearly_always_understood() -> None:
    """Asking back is for what is unclear, not for everything."""
    short = [pair for pair in PAIRS if "," not in pair[3] and ";" not in pair[3]]
    whole = [pair for pair in short if facts(f"{pair[2]} {pair[3]}") == {pair[0]: pair[1]}]
    assert len(whole) > 0.9 * len(short)


NUMBERS = [check for check in knowledge().checks.values() if check.is_number]


@given(st.sampled_from(NUMBERS), st.data())
def test_every_name_with_a_number_is_that_number_or_asked_back(check: Check, data: st.DataObject) -> None:
    assert check.possible is not None
    name = data.draw(st.sampled_from((check.id, *check.names)))
    value = data.draw(st.integers(max(0, int(check.possible[0]) + 1), int(check.possible[1])))
    for line in (f"{name} {value}", f"{name} {value} {check.unit}"):
        understood = said(line)
        asked = {candidate for item in understood.unclear for candidate in item.candidates}
        found = [(fact.check, fact.value) for fact in understood.facts]
        assert found == [(check.id, float(value))] or (not found and check.id in asked), line


def test_a_band_of_the_number_that_is_asked_for_is_no_answer_to_it() -> None:
    """`none` is a band of volts, but who is asked for volts says a number."""
    assert understand("none of it", knowledge(), "field", asked="cell_voltage").facts == ()


@given(line=st.lists(st.sampled_from(["none", "no", "clean", "few", "dark", "14", "of it"]), max_size=4).map(" ".join))
def test_whatever_is_asked_a_fact_has_a_value_of_its_check(line: str) -> None:
    for asked in knowledge().checks:
        for fact in understand(line, knowledge(), "field", asked=asked).facts:
            assert isinstance(fact.value, str) is not knowledge().checks[fact.check].is_number

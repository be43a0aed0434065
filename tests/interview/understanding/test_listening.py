"""A free line as what it states: laws that hold for every saying, and lines of each kind by hand.

What people mean by such words is common practice, no source.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.example_counts import up_to
from tests.shipped import knowledge
from tests.spoken.hearing import facts, hear

KNOWLEDGE = knowledge()
START: dict[str, list[str]] = {"role": list(KNOWLEDGE.roles), "complaint": list(KNOWLEDGE.trees)}


def sayings() -> list[tuple[str, str | float, str]]:
    """Each saying of an answer as a line of its own: the first way of each word."""
    found = []
    for check, said in KNOWLEDGE.said("en").checks.items():
        for answer, phrases in said.answers.items():
            for phrase in phrases:
                line = " ".join(word.split("/")[0].rstrip("*!") for word in phrase.split()).replace("#", "3")
                found.append((check, answer, line))
    return found


def sampled(count: int = 600) -> list[tuple[str, str | float, str]]:
    return random.Random(20261130).sample(sayings(), count)


def test_a_saying_by_itself_says_its_answer() -> None:
    """Some are outdone by a longer one, or say by themselves only that they may be meant."""
    kept = [facts(line, KNOWLEDGE).get(check) == answer for check, answer, line in sampled()]
    assert sum(kept) >= 0.92 * len(kept)


@pytest.mark.no_cover  # the same sayings as above, with other words around them
@pytest.mark.parametrize("doubt", ["maybe {}", "might be {}", "she thinks {}", "{}, but not sure"])
def test_what_is_said_with_doubt_is_never_taken(doubt: str) -> None:
    taken = [line for _, _, line in sampled(150) if facts(doubt.format(line), KNOWLEDGE)]
    assert len(taken) <= 1, taken


@pytest.mark.no_cover
@pytest.mark.parametrize("other", ["is it {}?", "last year {}", "the neighbour's: {}"])
def test_what_is_asked_or_elsewhere_states_nothing_of_this_pool(other: str) -> None:
    taken = [
        line
        for check, _, line in sampled(150)
        if facts(other.format(line), KNOWLEDGE) and not (other.startswith("last") and _asks_for_what_was(check))
    ]
    # `last year` may complete the saying of a check that asks for what was.
    assert len(taken) <= (15 if other.startswith("last") else 4), taken


def _asks_for_what_was(check: str) -> bool:
    said = KNOWLEDGE.said("en").checks[check]
    return said.past or check in START


@settings(max_examples=up_to(300), deadline=None)
@given(st.text(max_size=300))
def test_any_text_is_read_and_what_is_found_is_of_the_knowledge(line: str) -> None:
    _is_of_the_knowledge(line)


def _words() -> st.SearchStrategy[str]:
    pieces = sorted({word for _, _, line in sayings() for word in line.split()})
    odd = ["3400", "7,4", "12 psi", "?", ",", ".", "not", "maybe", "no", "-40", "8x4", "sorry", "1/2", "%", "last year"]
    return st.lists(st.sampled_from([*pieces, *odd, *odd]), max_size=25).map(" ".join)


@settings(max_examples=up_to(300), deadline=None)
@given(_words())
def test_any_words_of_the_trade_in_any_order_are_read(line: str) -> None:
    _is_of_the_knowledge(line)


def _is_of_the_knowledge(line: str) -> None:
    found = hear(line, KNOWLEDGE)
    assert len({fact.check for fact in found.facts}) == len(found.facts)
    offered = [(each.check, each.value) for item in found.unclear for each in item.candidates]
    assert all(len(item.candidates) <= 3 for item in found.unclear)
    for check, value in [*((fact.check, fact.value) for fact in found.facts), *offered]:
        if check in START:
            assert str(value) in START[check]
        elif isinstance(value, float):
            low, high = KNOWLEDGE.checks[check].possible or (0, 0)
            assert low <= value <= high
        else:
            known = KNOWLEDGE.checks[check]
            assert value in {*known.either, *(answer.id for answer in known.answers)}


STATED = [
    ("8 by 4 by 1.5 m", {"pool_volume": 48.0}),
    ("pool 8 x 4 m, averages 1.5 deep", {"pool_volume": 48.0}),
    # 24 ft are 7.315 m, 4 ft are 1.219 m: pi / 4 * 7.315^2 * 1.219 = 51.2.
    ("24 ft round pool, 4 foot deep", {"pool_volume": 51.2}),
    ("cell 7.9 V 15.6 A", {"cell_voltage": 7.9, "cell_current": 15.6}),
    ("ph 7.4 cya 45", {"ph": 7.4, "stabiliser": 45.0}),
    ("salt strip says 3400, no, 4300", {"tested_salt": 4300.0}),
    ("ph was 8.0 last month, today 7.5", {"ph": 7.5}),
    # Degrees of French hardness are 10 mg/L of calcium carbonate.
    ("hardness 25 french degrees", {"hardness": 250.0}),
    # A gauge over its clean mark, and a psi is 6.895 kPa.
    ("gauge 18 psi, normally 12", {"filter_pressure_rise": 41.4}),
    ("gauge is three psi under its clean mark", {"filter_pressure_rise": -20.7}),
    ("total 2.0 free 1.4", {"free_chlorine": 1.4, "combined_chlorine": 0.6}),
    ("plates not white", {"cell_plates": "clean"}),
    ("pump not running", {"pump_running": "stopped"}),
    ("no scale on the plates", {"cell_plates": "clean"}),
    ("was green, now cloudy", {"water_look": "cloudy"}),
    ("plates white?", {}),
    ("salt test 4100, plates white", {"tested_salt": 4100.0, "cell_plates": "white_scale"}),
    ("fc 0.5 cc 0.2", {"free_chlorine": 0.5, "combined_chlorine": 0.2}),
    ("no chlorine, unit dead", {"unit_power": "dark"}),
    ("storm last week", {"bather_load": "storm"}),
    # Hardly any salt, and no chlorine all the same.
    ("salt test 12 ppm", {"tested_salt": 12.0}),
]


@pytest.mark.parametrize(("line", "stated"), STATED)
def test_what_a_line_states(line: str, stated: dict[str, str | float]) -> None:
    found = facts(line, KNOWLEDGE)
    assert {check: found.get(check) for check in stated} == {
        check: pytest.approx(value, rel=0.01) if isinstance(value, float) else value for check, value in stated.items()
    }
    assert set(found) <= {*stated, "complaint"}


def swapped(words: Sequence[str]) -> Iterator[list[str]]:
    """The words, one of them with two letters that changed places."""
    for at, word in enumerate(words):
        if len(word) >= 6 and word.isalpha():
            middle = len(word) // 2
            slip = word[: middle - 1] + word[middle] + word[middle - 1] + word[middle + 1 :]
            yield [*words[:at], slip, *words[at + 1 :]]


@pytest.mark.no_cover
def test_a_slip_of_two_letters_changes_little() -> None:
    """Two letters changed places in a word of six or more: the line says the same in nine of ten."""
    same = []
    for check, answer, line in sampled(200):
        if facts(line, KNOWLEDGE).get(check) == answer:
            same += [facts(" ".join(words), KNOWLEDGE).get(check) == answer for words in swapped(line.split())]
    assert len(same) > 100
    assert sum(same) >= 0.9 * len(same)


@pytest.mark.parametrize(
    ("line", "check", "never"),
    [
        ("low salt warning", "unit_report", "low_salt_running"),
        ("low salt light on and it stopped making chlorine", "unit_report", "low_salt_running"),
        ("add salt light on, it quit making", "unit_report", "low_salt_running"),
        ("strong chlorine smell stings", "pool_smell", "strong"),
        ("display shows 2.9", "unit_temp", 2.9),
        ("display shows 3.1 ppt", "unit_temp", 3.1),
    ],
)
def test_what_a_line_leaves_open_or_denies_is_not_heard_in_it(line: str, check: str, never: str | float) -> None:
    """Heard once in lines such as these: the word that tells two answers apart was passed over, or stood between."""
    assert facts(line, KNOWLEDGE).get(check) != never


def test_parts_per_thousand_are_grams_a_litre() -> None:
    """Water of a density of about one: common practice, no source."""
    assert facts("salt test 3.1 ppt", KNOWLEDGE)["tested_salt"] == facts("salt test 3.1 g/L", KNOWLEDGE)["tested_salt"]

"""What is mentioned but is not so, or is another thing's, is not taken: a law for each kind of it, in both languages.

What people mean by such words is common practice, no source.
"""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from interview.understanding.alarm import alarms_in
from tests.example_counts import up_to
from tests.shipped import models_in
from tests.spoken.hearing import facts, hear
from tests.spoken.measuring import speaking


def heard(line: str, lang: str) -> dict[str, str | float]:
    with speaking(lang):
        return facts(line, models_in(lang).knowledge)


def sayings(lang: str, count: int) -> list[tuple[str, str]]:
    """Some sayings of answers, with their checks: those that ask for other things, or who calls, left out."""
    with speaking(lang):
        said = models_in(lang).knowledge.said(lang).checks
    found = [
        (check, " ".join(word.split("/")[0].rstrip("*!") for word in phrase.split()).replace("#", "3"))
        for check, ways in said.items()
        if check != "role" and not ways.of_others
        for phrases in ways.answers.values()
        for phrase in phrases
    ]
    return random.Random(14).sample(found, count)


@pytest.mark.no_cover
@pytest.mark.parametrize(
    ("lang", "other"),
    [
        ("en", "the robot: {}"),
        ("en", "their hot tub, its {}"),
        ("en", "the pool lights {}"),
        ("es", "el robot: {}"),
        ("es", "el motor del cobertor {}"),
        ("es", "la bomba de riego {}"),
    ],
)
def test_what_is_said_of_another_thing_is_not_said_of_ours(lang: str, other: str) -> None:
    """A saying of two sentences may go on with ours; so a few are left."""
    taken = [(check, line) for check, line in sayings(lang, 120) if check in heard(other.format(line), lang)]
    assert len(taken) <= 3, taken


@settings(max_examples=up_to(40), deadline=None)
@given(st.integers(12, 25), st.integers(2, 11))
def test_our_own_number_behind_one_of_a_cell_that_was_lent_is_the_reading(lent: int, own: int) -> None:
    line = f"put a test cell on and that pulls {lent} amps, his own only draws {own}"
    assert heard(line, "en").get("cell_current") == own
    line = f"con una celda prestada y esa tira {lent} amperes, la suya apenas {own}"
    assert heard(line, "es").get("cell_current") == own


@settings(max_examples=up_to(40), deadline=None)
@given(st.sampled_from(["hang on", "no sorry", "hold on", "correction"]), st.integers(1, 23), st.integers(1, 23))
def test_of_a_number_and_what_puts_it_right_the_second_one_is_meant(back: str, first: int, second: int) -> None:
    found = heard(f"pump runs {first} hours a day... {back}, {second} hours", "en").get("run_hours", second)
    assert found == second
    back = {"hang on": "espera", "no sorry": "no perdon", "hold on": "aguanta", "correction": "corrijo"}[back]
    found = heard(f"la bomba anda {first} horas al dia... {back}, {second} horas", "es").get("run_hours", second)
    assert found == second


@pytest.mark.parametrize("asked", [7.2, 7.4, 7.5])
@pytest.mark.parametrize("found", [6.8, 8.1, 8.4])
def test_what_should_be_is_not_what_is(asked: float, found: float) -> None:
    assert heard(f"ph should be {asked}, hers came out {found}", "en").get("ph") == found
    assert heard(f"ph ought to be {asked}", "en") == {}
    assert heard(f"el ph deberia ser {str(asked).replace('.', ',')}", "es") == {}


@pytest.mark.parametrize("size", [6, 10, 16, 20])
@pytest.mark.parametrize(
    ("lang", "line"),
    [
        ("en", "bought him a {} amp fuse"),
        ("en", "there is a breaker of {} A on the wall"),
        ("es", "compro un fusible de {} A"),
        ("es", "es una termica de {} A"),
    ],
)
def test_what_a_thing_is_made_for_is_no_reading(lang: str, line: str, size: int) -> None:
    assert "cell_current" not in heard(line.format(size), lang)


@pytest.mark.parametrize("number", ["19", "24", "62"])
@pytest.mark.parametrize(("lang", "line"), [("en", "the pool one says {}"), ("es", "el termometro de la piscina {}")])
def test_a_bare_number_beside_the_pool_is_not_its_volume(lang: str, line: str, number: str) -> None:
    assert "pool_volume" not in heard(line.format(number), lang)


@pytest.mark.parametrize(
    ("lang", "line", "check", "answer"),
    [
        ("en", "in 2019 the cell lead was burnt, looks sound today", "cell_lead", "burnt"),
        ("es", "en 2019 se quemo el cable de la celda, hoy esta firme", "cell_lead", "burnt"),
        ("en", "pump died in march, new one is in", "pump_running", "stopped"),
        ("en", "i will clean the cell on friday", "unit_report", "cell_service"),
        ("en", "nothing on the plates, only a pebble", "cell_plates", "clean"),
        ("es", "nada de sarro en las placas, solo una piedrita", "cell_plates", "clean"),
        ("en", "it isnt saying no flow", "unit_report", "no_flow"),
        ("en", "no rain, no leaks, no backwashing", "gauge_after_cleaning", "not_cleaned"),
    ],
)
def test_what_was_or_will_be_or_is_left_of_a_denial_is_not_taken(lang: str, line: str, check: str, answer: str) -> None:
    assert heard(line, lang).get(check) != answer


@pytest.mark.parametrize(
    ("lang", "line", "check", "answer"),
    [
        ("en", "a lamp in that socket works, chlorinator is dark", "other_load", "works"),
        ("en", "heater is not heating", "heater", "not_heating"),
        ("en", "robot is stuffed. unit shows no warnings", "unit_report", "normal"),
        ("en", "104 volts at the socket and it is meant to be 120", "nominal_voltage", 120.0),
    ],
)
def test_what_asks_for_other_things_or_names_them_is_still_heard(
    lang: str, line: str, check: str, answer: str | float
) -> None:
    assert heard(line, lang).get(check) == answer


@pytest.mark.parametrize(("lang", "other"), [("en", "the robot {}"), ("es", "el robot {}")])
def test_a_danger_at_another_thing_is_asked_back(lang: str, other: str) -> None:
    """It is not taken as ours, and never passed over either."""
    with speaking(lang):
        known = models_in(lang).knowledge
        phrases = [phrase for danger in known.dangers.values() for phrase in danger.words]
        lines = [" ".join(word.split("/")[0].rstrip("*") for word in phrase.split()) for phrase in phrases]
        lines = [line for line in lines if any(alarm.sure for alarm in alarms_in(line, known))]
        assert len(lines) > 50
        for line in lines:
            alarms = alarms_in(other.format(line), known)
            assert alarms, line
            assert not any(alarm.sure for alarm in alarms), line


def test_a_guess_is_not_made_of_another_thing() -> None:
    with speaking("en"):
        known = models_in("en").knowledge
        offered = [
            c.check for item in hear("the neighbour has a jet that dribbles", known).unclear for c in item.candidates
        ]
    assert all(known.said("en").checks[check].of_others for check in offered)


@pytest.mark.parametrize(
    ("lang", "line", "check"),
    [
        ("en", "pool's a bit green he says, no, it's the spa that is green, pool is clear as gin", "complaint"),
        ("en", "salt's spot on, wouldn't touch it", "just_before"),
        ("en", "box is warm and humming, nothing nasty", "danger_now"),
        ("en", "put it back, been dripping since", "breaker"),
        ("es", "nada de olores, nada de calambres", "pool_smell"),
        ("es", "ahora le toca descanso", "within_hours"),
    ],
)
def test_what_words_tell_by_themselves_is_not_taken_where_the_rest_tells_otherwise(
    lang: str, line: str, check: str
) -> None:
    assert check not in heard(line, lang)


def test_what_stands_inside_a_longer_saying_that_is_not_sure_is_heard() -> None:
    assert heard("red light under FLOW, pump off because he waits for a new motor", "en")["pump_running"] == "stopped"

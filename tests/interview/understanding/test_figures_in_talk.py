"""Numbers as they stand in talk: words that part or lead on are no units, degrees need no scale."""

from __future__ import annotations

import pytest

from tests.spoken.measuring import Line, outcome, speaking


@pytest.mark.parametrize(
    ("line", "lang", "expected"),
    [
        ("cloro libre 1,8 y ph 7,4", "es", {"free_chlorine": 1.8, "ph": 7.4}),
        ("alcalinidad 120 y dureza 300", "es", {"alkalinity": 120.0, "hardness": 300.0}),
        ("el agua está a 14 grados", "es", {"water_temp": 14.0}),
        ("thermometer reads 14 degrees", "en", {"water_temp": 14.0}),
    ],
)
def test_a_number_is_read_without_the_word_that_leads_on(line: str, lang: str, expected: dict[str, float]) -> None:
    with speaking(lang):
        taken = outcome(Line(line, lang)).taken
    assert {check: taken.get(check) for check in expected} == expected


def test_from_one_number_to_another_is_no_current() -> None:
    with speaking("es"):
        assert "cell_current" not in outcome(Line("la pinza la traigo luego, atiende de 10 a 18", "es")).taken


def test_a_name_of_one_word_and_no_states_nothing() -> None:
    with speaking("es"):
        assert "unit_power" not in outcome(Line("la pantalla no coincide con nuestra prueba", "es")).taken


def test_an_answer_is_not_heard_by_the_name_of_its_check_alone() -> None:
    with speaking("es"):
        assert outcome(Line("el fusible de la caja se fundió y le puse otro", "es")).taken.get("unit_fuse") != "intact"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("salt low on the display, salt test 2400", 2400.0),
        ("low on the screen, salt test 2400, no danger", 2400.0),
        ("salt low on the display, strip 2400", 2400.0),
    ],
)
def test_what_is_said_of_the_display_before_a_comma_does_not_lose_the_test_behind_it(line: str, said: float) -> None:
    with speaking("en"):
        taken = outcome(Line(line)).taken
    assert taken.get("tested_salt") == said
    assert "unit_salt" not in taken

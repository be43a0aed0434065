"""Which language is spoken, and facts understood in it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.text_catalog import use_language
from engine.foundation.texts import language_in_use
from engine.knowledge.loader import load_knowledge
from engine.quantities.quantity import QuantityError
from interview.commands.context import BadInputError, Places
from interview.commands.locale import locale_language, speak
from interview.messages import Fact
from interview.understanding.facts import understand
from interview.understanding.normalize import without_accents
from interview.understanding.numbers import in_signs, read_typed

FAULTS = Path(__file__).parents[3] / "faults"
SPANISH = load_knowledge(FAULTS, "es")


@pytest.fixture(autouse=True)
def english_again() -> Iterator[None]:
    yield
    use_language("en")


@pytest.mark.parametrize(
    ("environment", "code"),
    [
        ({"LC_ALL": "es_MX.UTF-8", "LANG": "en_US.UTF-8"}, "es"),
        ({"LC_ALL": "", "LC_MESSAGES": "es", "LANG": "C"}, "es"),
        ({"LANG": "es_ES@euro"}, "es"),
        ({"LC_ALL": "C.UTF-8", "LANG": "es_ES.UTF-8"}, "en"),
        ({"LANG": "POSIX"}, "en"),
        ({}, "en"),
    ],
)
def test_the_first_variable_that_is_set_names_the_language(environment: dict[str, str], code: str) -> None:
    """Locale names and the order of the variables: POSIX.1-2017, chapter 8.2 (from memory)."""
    assert locale_language(environment) == code


def test_a_language_asked_for_wins_over_the_locale() -> None:
    assert speak(Places(language="en"), {"LANG": "es_ES.UTF-8"}) == "en"
    assert speak(Places(), {"LANG": "es_ES.UTF-8"}) == "es"
    assert language_in_use() == "es"


def test_a_locale_that_is_not_spoken_here_is_english() -> None:
    assert speak(Places(), {"LANG": "fi_FI.UTF-8"}) == "en"


@pytest.mark.parametrize("code", ["fi", "ES", "../es", "e s"])
def test_a_language_asked_for_that_there_is_not_is_refused_with_those_there_are(code: str) -> None:
    with pytest.raises(BadInputError, match=r"--language: .*es"):
        speak(Places(language=code), {})


def test_going_on_keeps_the_language() -> None:
    assert Places(language="es").command("resume", "x") == "brinecall --language es resume x"


def facts(line: str) -> dict[str, str | float]:
    use_language("es")
    found = understand(line, SPANISH, "field")
    assert found.unclear == (), found
    return {fact.check: fact.value for fact in found.facts if isinstance(fact, Fact)}


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("placas blancas, prueba de sal 3400", {"cell_plates": "white_scale", "tested_salt": 3400.0}),
        ("prueba de sal 3,2 g/L", {"tested_salt": 3200.0}),
        ("prueba de sal 3,2 gramos por litro", {"tested_salt": 3200.0}),
        ("la bomba no anda y la canastilla está llena", {"pump_running": "stopped", "baskets": "blocked"}),
        ("estabilizador 40 ppm; pH 7,4", {"stabiliser": 40.0, "ph": 7.4}),
        ("termómetro 18 °C", {"water_temp": 18.0}),
        ("voltios en la celda 7,5 voltios", {"cell_voltage": 7.5}),
        ("última limpieza hace 3 meses", {"months_since_clean": 3.0}),
        ("cell_plates clean", {"cell_plates": "clean"}),
    ],
)
def test_facts_are_understood_as_people_say_them_in_spanish(line: str, expected: dict[str, str | float]) -> None:
    assert facts(line) == expected
    assert facts(without_accents(line).replace("g/l", "g/L")) == expected


def test_a_denied_answer_is_never_taken_for_the_answer() -> None:
    use_language("es")
    found = understand("placas no blancas", SPANISH, "field")
    assert found.facts == ()
    assert found.unclear


def test_a_comma_that_may_mean_two_things_is_asked_back() -> None:
    """Both 3.4 and 3400 ppm can be of salt; a decimal comma and a thousands comma look alike before three digits."""
    use_language("es")
    with pytest.raises(QuantityError, match=r"puede leerse como"):
        read_typed("3,400", "ppm", "sal", (0, 12000))


def test_degrees_without_a_scale_are_asked_back() -> None:
    use_language("es")
    with pytest.raises(QuantityError, match="dos clases de grados"):
        read_typed("25 grados", "°C", "temperatura", None)


@given(st.text(alphabet="abcdefghijklmnñopqrstuvwxyzáéíóúü ", max_size=40))
def test_words_without_accents_are_the_same_words(text: str) -> None:
    plain = without_accents(text)
    assert plain.isascii()
    assert without_accents(plain) == plain


@given(st.floats(0.1, 30, allow_nan=False).map(lambda value: f"{value:.1f}"))
def test_a_unit_in_words_is_the_unit(number: str) -> None:
    use_language("es")
    assert in_signs(f"{number.replace('.', ',')} gramos por litro") == f"{number.replace('.', ',')} g/L"
    assert read_typed(f"{number} gramos por litro", "g/L", "", None).value == pytest.approx(float(number))

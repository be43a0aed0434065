"""Facts and numbers understood in Spanish."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.plain_text import without_accents
from engine.foundation.text_catalog import use_language
from engine.knowledge.loader import load_knowledge
from engine.quantities.quantity import QuantityError
from interview.understanding.numbers import in_signs, read_typed
from tests.spoken.hearing import hear

FAULTS = Path(__file__).parents[3] / "faults"
SPANISH = load_knowledge(FAULTS, "es")


@pytest.fixture(autouse=True)
def english_again() -> Iterator[None]:
    yield
    use_language("en")


def facts(line: str) -> dict[str, str | float]:
    use_language("es")
    found = hear(line, SPANISH)
    assert found.unclear == (), found
    return {fact.check: fact.value for fact in found.facts}


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
    assert hear("placas no blancas", SPANISH).facts == ()


def test_a_comma_that_may_mean_two_things_is_asked_back() -> None:
    """Both 3.4 and 3400 ppm can be of salt; a decimal comma and a thousands comma look alike before three digits."""
    use_language("es")
    with pytest.raises(QuantityError, match=r"puede leerse como"):
        read_typed("3,400", "ppm", "sal", (0, 12000))


def test_degrees_without_a_scale_are_asked_back() -> None:
    use_language("es")
    with pytest.raises(QuantityError, match="dos clases de grados"):
        read_typed("25 grados", "°C", "temperatura", None)


@given(st.floats(0.1, 30, allow_nan=False).map(lambda value: f"{value:.1f}"))
def test_a_unit_in_words_is_the_unit(number: str) -> None:
    use_language("es")
    assert in_signs(f"{number.replace('.', ',')} gramos por litro") == f"{number.replace('.', ',')} g/L"
    assert read_typed(f"{number} gramos por litro", "g/L", "", None).value == pytest.approx(float(number))

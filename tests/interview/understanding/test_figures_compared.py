"""Numbers that are told beside others: a second reading, a sloping floor, times of the clock, dates, corrections."""

from __future__ import annotations

from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.knowledge.loader import load_knowledge
from tests.shipped import models_in
from tests.spoken.hearing import facts
from tests.spoken.measuring import speaking

KNOWLEDGE = load_knowledge(files("faults"))


def _facts(line: str, lang: str) -> dict[str, str | float]:
    with speaking(lang):
        return facts(line, models_in(lang).knowledge if lang != "en" else KNOWLEDGE)


@pytest.mark.parametrize(
    ("line", "lang", "expected"),
    [
        ("display salt 2.6 g/l, ours says 3.6", "en", {"unit_salt": 2600.0, "tested_salt": 3600.0}),
        ("salt's 2800 on the unit and 2750 by the shop", "en", {"unit_salt": 2800.0, "tested_salt": 2750.0}),
        ("unit shows 2400 salt, bench got 3300", "en", {"unit_salt": 2400.0, "tested_salt": 3300.0}),
        ("el equipo marca 2,4 g/l de sal, en el banco me da 3,3", "es", {"unit_salt": 2400.0, "tested_salt": 3300.0}),
        ("tested: salt 2.8 g/l, cya 20 ppm, ph 7.7", "en", {"tested_salt": 2800.0, "stabiliser": 20.0, "ph": 7.7}),
    ],
)
def test_a_bare_second_reading_is_of_the_kind_of_the_first(line: str, lang: str, expected: dict[str, float]) -> None:
    found = _facts(line, lang)
    assert {check: found.get(check) for check in expected} == expected
    assert found.get("free_chlorine") is None


@given(
    st.integers(4, 14),
    st.integers(3, 8),
    st.integers(8, 15),
    st.integers(16, 30),
    st.sampled_from(
        [
            ("en", "{a} by {b} metres, {c} shallow {d} deep"),
            ("en", "{a} x {b}, {c} to {d} deep"),
            ("en", "pool's {a} x {b} m, {c} m at the shallow end and {d} m at the deep"),
            ("es", "mide {a} x {b}, de {c} a {d} de hondo"),
            ("es", "pileta de {a} por {b} metros, {c} en lo bajo y {d} en lo hondo"),
        ]
    ),
)
def test_of_a_sloping_floor_the_mean_depth_counts(
    length: int, width: int, shallow: int, deep: int, way: tuple[str, str]
) -> None:
    lang, wording = way
    sign = "," if lang == "es" else "."
    depths = [f"{tenths / 10:.1f}".replace(".", sign) for tenths in (shallow, deep)]
    found = _facts(wording.format(a=length, b=width, c=depths[0], d=depths[1]), lang)
    assert found["pool_volume"] == pytest.approx(length * width * (shallow + deep) / 20, rel=1e-3)


@pytest.mark.parametrize(
    ("line", "lang", "volume"),
    [
        ("9 x 4.5 and one metre fifty deep", "en", 60.75),
        ("mide 9 x 4,5 y un metro cincuenta de hondo parejo", "es", 60.75),
        ("8 por 4 y 1 metro 20 de profundidad", "es", 38.4),
        ("round pool 5 m across with 1.2 of water", "en", 23.56),
        ("alberca redonda de 5 m de diametro y 1.20 de agua", "es", 23.56),
    ],
)
def test_a_depth_is_told_as_people_tell_it(line: str, lang: str, volume: float) -> None:
    assert _facts(line, lang)["pool_volume"] == pytest.approx(volume, rel=1e-3)


@pytest.mark.parametrize(
    ("line", "lang"),
    [
        ("chlorinator comes on 7am pump not till 9", "en"),
        ("pump starts 6 am, chlorinator 10 am", "en"),
        ("pump runs till 8", "en"),
        ("el clorador entra a las 10 y la bomba arranca a las 14", "es"),
        ("la bomba para a las 8", "es"),
        ("the pump stops at 4", "en"),
    ],
)
def test_a_time_of_the_clock_is_no_running_time(line: str, lang: str) -> None:
    assert "run_hours" not in _facts(line, lang)


@pytest.mark.parametrize(
    ("line", "lang", "years"),
    [
        ("cell's from 2017", "en", 9.0),
        ("cell fitted april '21", "en", 5 + 1 / 12),
        ("cell fitted in april of 2021", "en", 5 + 1 / 12),
        ("celda puesta en abril del 21", "es", 5 + 1 / 12),
        ("célula instalada en mayo de 2024", "es", 2.0),
    ],
)
def test_a_date_is_so_long_ago(line: str, lang: str, years: float) -> None:
    # The lines are said on 4 May 2026.
    assert _facts(line, lang)["cell_age_years"] == pytest.approx(years, abs=0.01)


@pytest.mark.parametrize(
    ("line", "lang", "check", "value"),
    [
        ("we tested his salt at 2,450", "en", "tested_salt", 2450.0),
        ("free chlorine 1,8", "en", "free_chlorine", 1.8),
        ("display says 3 thousand two salt", "en", "unit_salt", 3200.0),
        ("unit shows three thousand two", "en", "unit_salt", 3200.0),
        ("3200, i lie, 2300 on the unit", "en", "unit_salt", 2300.0),
        ("la pantalla marca 3200 de sal, me equivoco, 2300", "es", "unit_salt", 2300.0),
        ("generador de 25 g por hora puesto al 75", "es", "rated_output", 25.0),
        ("said 30 psi, sorry 13, and 11's his clean", "en", "filter_pressure_rise", 13.79),
        ("pressure 20 psi, clean was 14", "en", "filter_pressure_rise", 41.37),
    ],
)
def test_a_number_is_read_as_it_is_said(line: str, lang: str, check: str, value: float) -> None:
    assert _facts(line, lang)[check] == pytest.approx(value, rel=1e-3)


@pytest.mark.parametrize(
    ("line", "lang"),
    [
        ("crystal clear water, zero chlorine", "en"),
        ("box still on days, nil chlorine, all lamps normal", "en"),
        ("agua clara, cero cloro", "es"),
        ("output on 4 of 5 bars", "en"),
    ],
)
def test_a_number_is_of_the_word_behind_it_and_of_nothing_before_the_comma(line: str, lang: str) -> None:
    found = _facts(line, lang)
    assert not any(isinstance(value, float) for value in found.values())


@pytest.mark.parametrize(
    ("line", "lang"),
    [
        ("pack fuse is ok, 0.1 ohm", "en"),
        ("the pump is a 0.75 kw one", "en"),
        ("el fusible mide 0,2 ohmios", "es"),
        ("the pool at the school has 2500 of salt", "en"),
        ("two summers ago she had fc at 4", "en"),
    ],
)
def test_a_number_of_something_else_is_no_reading(line: str, lang: str) -> None:
    assert not any(isinstance(value, float) for value in _facts(line, lang).values())


def test_both_numbers_of_a_difference_are_in_the_unit_of_one() -> None:
    found = _facts("clean is 80 kPa, its up at 145 today", "en")
    assert found == {"filter_pressure_rise": 65.0}

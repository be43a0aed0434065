"""A translation is held beside its original: other numbers, other units and other counts of steps are told.

That a decimal comma and a decimal point are the same number: ISO 80000-1, 7.3.2, from memory.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.problems import Problem
from engine.knowledge.catalogue import Folder
from engine.knowledge.figures_told import figures_in
from engine.knowledge.files import contents_of
from engine.knowledge.held_beside import dangers_said, differences
from engine.knowledge.loader import read_folder
from engine.knowledge.translation import overlay_of
from tests.overlay import NAME

SHIPPED = files("faults")
SPANISH = contents_of(SHIPPED / "languages" / "es")[0]
FILE = "repairs.yaml"


@cache
def english() -> Folder:
    return read_folder(NAME, contents_of(SHIPPED)[0])[0]


def told(repairs: str) -> list[Problem]:
    overlay = overlay_of(english(), "es", {**SPANISH, FILE: repairs.encode()})
    return [*differences(english(), overlay, "es"), *dangers_said(overlay, "es")]


def with_slip(old: str, new: str) -> list[tuple[str, str]]:
    text = SPANISH[FILE].decode()
    at = text.index(old)
    found = told(text[:at] + new + text[at + len(old) :])
    assert text[:at].count("\n") + 1 in {problem.line for problem in found}
    return [(problem.grade, problem.what) for problem in found]


def test_the_shipped_translation_says_the_same_figures() -> None:
    assert told(SPANISH[FILE].decode()) == []


SLIPS = {
    "a number in words": ("Ponga diez partes de agua", "Ponga once partes de agua"),
    "a mix that is stronger too": ("Ponga diez partes de agua", "Ponga tres partes de agua"),
    "a figure in brackets": ("[1 L] de ácido", "[2 L] de ácido"),
    "a unit": ("Ponga [10 L] de agua", "Ponga [10 mL] de agua"),
    "a decimal comma lost": ("Si pasa de 7,6,", "Si pasa de 76,"),
    "a number left out": ("Deje la bomba en marcha cuatro horas", "Deje la bomba en marcha unas horas"),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_figure_that_differs_is_told_in_its_place(slip: str) -> None:
    old, new = SLIPS[slip]
    assert "mistake" in [grade for grade, _ in with_slip(old, new)]


def test_a_step_left_out_is_told() -> None:
    text = SPANISH[FILE].decode()
    at = text.index("- repair: acid_clean")
    step = re.compile(r"      - Trabaje al aire libre.*\n").search(text, at)
    assert step is not None
    found = told(text.replace(step[0], ""))
    assert any("9 " in problem.what and "10" in problem.what for problem in found), found


def test_a_translation_that_tells_of_an_act_of_its_own_is_told_in_its_file() -> None:
    found = told(SPANISH[FILE].decode().replace("Nunca abra la caja.", "Abra la caja de la pared.", 1))
    assert [(problem.grade, problem.file) for problem in found] == [("danger", "es/repairs.yaml")]


@given(st.decimals(min_value="0.1", max_value=9999, places=1), st.sampled_from(["L", "kg", "ppm", "°C", "bar"]))
def test_a_decimal_comma_is_a_decimal_point(number: object, unit: str) -> None:
    point, comma = f"Take {number} {unit} of it.", f"Tome {number} {unit} de eso.".replace(".", ",", 1)
    (here,), (there,) = figures_in(point, "en"), figures_in(comma, "es")
    assert (here.value, here.unit) == (there.value, there.unit) == (float(str(number)), unit)


@given(st.text(max_size=80))
def test_any_text_can_be_read_for_figures(text: str) -> None:
    for language in ("en", "es"):
        assert all(figure.value >= 0 and figure.start < figure.end for figure in figures_in(text, language))

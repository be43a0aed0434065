"""Amounts for work with acid against a hand-worked mix and doses titrated by PHREEQC."""

from __future__ import annotations

import re

import pytest

from engine.knowledge.model import PartNeed
from engine.knowledge.properties import PartAmount
from reports.view.amounts import amount_to_put_right, work_amounts
from reports.view.known import KnownReadings
from reports.view.model import Amount
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
UNIT = KNOWLEDGE.units["default"]
CLEAN = KNOWLEDGE.repairs["acid_clean"]


def amounts(**numbers: float) -> tuple[Amount, ...]:
    return work_amounts(CLEAN, KnownReadings(numbers, KNOWLEDGE, UNIT))


def acid(**numbers: float) -> Amount:
    """The acid that brings a pool's pH down, which is a job of its own."""
    found = amount_to_put_right("ph", "high", KnownReadings(numbers, KNOWLEDGE, UNIT))
    assert found is not None
    return found


def test_cleaning_a_cell_takes_one_acid_and_the_pool_another() -> None:
    told = amounts(ph=8.2, alkalinity=120.0, stabiliser=40.0, pool_volume=50.0)
    assert [amount.text for amount in told] == [amounts()[0].text]
    assert "in 50 m³" in acid(ph=8.2, alkalinity=120.0, stabiliser=40.0, pool_volume=50.0).text


def test_the_mix_is_ten_to_one_in_eleven_parts_with_the_water_first() -> None:
    """0.2 L of acid takes 2 L of water, 2.2 L of mix; 0.2 x 1149 x 30 % in 2 x 998 + 0.2 x 1149 g is 3.1 %."""
    assert CLEAN.parts[0] == PartNeed("cleaning_acid", PartAmount(0.2, "L"))
    mix = amounts(ph=7.4)[0]
    assert mix.text == "2 L of water first, then 200 mL of acid into it: 2.2 L of mix, about 3 % acid"


@pytest.mark.parametrize(("carbonate", "ml"), [(100.0, 64.7), (80.0, 51.8)])
def test_acid_for_the_ph_is_what_phreeqc_titrates(carbonate: float, ml: float) -> None:
    """From pH 7.8 to 7.5 at 25 degC, 300 ppm of hardness, 3200 ppm of salt: mL for 10 m3, PHREEQC 3 (phreeqc.dat).

    With 50 ppm of cyanuric acid 33 mL more (pK 6.88 of O'Brien, from memory), and 17 ppm of the alkalinity is its own.
    """
    water = {"ph": 7.8, "water_temp": 25.0, "hardness": 300.0, "tested_salt": 3200.0, "pool_volume": 100.0}
    for stabiliser, total, wanted in ((0.0, carbonate, ml), (50.0, carbonate + 17.3, ml + 33.4)):
        dose = acid(**water, alkalinity=total, stabiliser=stabiliser)
        found = re.match(r"about ([0-9.]+) (m?L) ", dose.text)
        assert found is not None
        shown = float(found[1]) * (1000 if found[2] == "L" else 1)
        assert shown == pytest.approx(10 * wanted, rel=0.05)
        half = re.search(r", ([0-9.]+) (m?L) of it first$", dose.text)
        assert half is not None
        assert 0.9 <= 2 * float(half[1]) * (1000 if half[2] == "L" else 1) / shown <= 1.0
        assert dose.missing == ()


def test_acid_for_the_ph_says_what_it_lacks_or_takes_as_usual() -> None:
    assert acid().missing == (
        "a pH test",
        "an alkalinity test",
        "a stabiliser test",
        "how much water the pool holds",
    )
    without = acid(ph=8.0, alkalinity=120.0, stabiliser=40.0)
    assert "for each 10 m³" in without.text
    assert "Assumed: 25 °C, calcium hardness 250 ppm and salt 3600 ppm" in without.working


def test_a_ph_that_needs_no_acid_gets_none_and_one_out_of_range_says_so() -> None:
    assert acid(ph=7.6).text == "none"
    beyond = acid(ph=9.6, alkalinity=100.0, stabiliser=30.0)
    assert "outside the formula's range" in beyond.working

"""Soda ash for a low pH: never more at once than the knowledge says, and not where something else goes first."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.treatment.amounts import Enough, NotYet, Outside
from engine.treatment.doses import dose_to_put_right
from engine.treatment.readings import PoolReadings
from engine.treatment.soda_ash import LIFTED_PH, PhLift, soda_ash_for_ph
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
SOUR = {"ph": 6.8, "alkalinity": 80.0, "stabiliser": 40.0, "pool_volume": 50.0}


def read(**numbers: float) -> PoolReadings:
    return PoolReadings(numbers, KNOWLEDGE, KNOWLEDGE.units["default"])


def test_a_low_ph_is_put_right_with_soda_ash() -> None:
    dose = dose_to_put_right("ph", "low", read(**SOUR))
    assert isinstance(dose, PhLift)
    assert dose.assumed == ("water_temp", "hardness", "tested_salt")
    # By hand, with pK 6.35 and an activity of 0.81: 1.46 mmol/L of bicarbonate beside 0.42 of carbon dioxide, and
    # 0.097 that 40 ppm of stabiliser give up, want 0.365 mmol/L: 38.7 g in each m³.
    assert dose.dose(1.0).grams == pytest.approx(38.7, rel=0.03)


@given(st.floats(6.6, 7.15), st.floats(65, 115), st.floats(1, 100))
def test_no_more_goes_in_at_once_than_the_limit_or_half(ph: float, alkalinity: float, volume: float) -> None:
    dose = soda_ash_for_ph(read(ph=ph, alkalinity=alkalinity, stabiliser=30.0))
    if dose == NotYet(("ph_after_air",), "soda_ash"):
        return
    assert isinstance(dose, PhLift)
    at_once = dose.at_once_g(volume)
    assert at_once <= KNOWLEDGE.limits.soda_ash_at_once * volume + 1e-9
    assert at_once <= dose.dose(volume).grams / 2 + 1e-9
    assert alkalinity < dose.dose(volume).alkalinity_after_ppm < 160


def test_alkalinity_that_is_out_of_range_goes_first() -> None:
    assert soda_ash_for_ph(read(**SOUR | {"alkalinity": 30.0})) == NotYet(("ph_after_alkalinity",), "soda_ash")
    assert soda_ash_for_ph(read(**SOUR | {"alkalinity": 200.0})) == NotYet(("ph_after_air",), "soda_ash")


def test_a_ph_in_range_takes_none_and_a_test_that_is_missing_is_named() -> None:
    low = KNOWLEDGE.checks["ph"]
    right = read(**SOUR).should_be(low)
    assert right is not None
    assert soda_ash_for_ph(read(**SOUR | {"ph": LIFTED_PH})) == Enough(LIFTED_PH, right[0], "pH")
    assert soda_ash_for_ph(read(ph=6.8)) == NotYet(("alkalinity", "stabiliser", "volume"), "soda_ash")


def test_water_beyond_the_formula_has_no_dose() -> None:
    assert soda_ash_for_ph(read(**SOUR | {"ph": 5.5})) == Outside()

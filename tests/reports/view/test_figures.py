"""The figure beside a derived finding, against figures worked by hand and by gsw."""

from __future__ import annotations

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.view.figures import figure_behind
from reports.view.known import KnownReadings
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
UNIT = KNOWLEDGE.units["default"]


def figure(finding: str, **numbers: float) -> str:
    return figure_behind(KNOWLEDGE.findings[finding], KnownReadings(numbers, KNOWLEDGE, UNIT))


def test_the_units_salt_is_told_as_a_share_of_the_test() -> None:
    assert figure("salt_gap", unit_salt=2450.0, tested_salt=3500.0) == "70 %"
    assert figure("salt_gap", unit_salt=2450.0, tested_salt=0.0) == ""


def test_the_cells_constant_is_ohms_law_beyond_the_onset() -> None:
    """gsw: 3.5 at 25 degC is .6423 S/m; x (7.5 - 2.2 V) / 19 A = .179 /m when clean, (8.4 - 2.2) / 11.5 = .346 now."""
    clean = float(gsw.C_from_SP(3.5, 25, 0)) / 10 * 5.3 / 19
    shown = figure("cell_health", cell_voltage=-8.4, cell_current=-11.5, tested_salt=3500.0, water_temp=25.0)
    assert shown == f"constant 0.346 /m, 1.9 times {clean:.3f} /m when clean"
    assert figure("cell_health", cell_voltage=2.0, cell_current=0.0, tested_salt=3500.0) == ""


@given(st.floats(1000, 6000), st.floats(2, 34), st.floats(1, 30))
def test_the_current_expected_follows_the_oceanographers_conductivity(salt: float, temp: float, amps: float) -> None:
    ratio = float(gsw.C_from_SP(salt / 1000, temp, 0) / gsw.C_from_SP(3.5, 25, 0))
    shown = figure("current_gap", cell_current=amps, tested_salt=salt, water_temp=temp)
    assert float(shown.split()[0]) == pytest.approx(100 * amps / (19 * ratio), abs=0.7, rel=0.001)


def test_wear_balance_and_index_are_told_in_their_units() -> None:
    # 4 years x 365.25 x 3/4 x 8 h x 65 % = 5698 h; 9 months a year are common practice, no source.
    worn = figure("cell_wear", cell_age_years=4.0, run_hours=8.0)
    assert worn == "about 5700 h of 9000 h"
    # 50 m3 at 2.2 ppm a day are 110 g; 20 g/h x 50 % x 10 h are 100 g (mass balance; demand is common practice).
    made = figure("chlorine_balance", pool_volume=50.0, rated_output=20.0, output_setting=50.0, run_hours=10.0)
    assert made == "makes 100 g a day; an ordinary pool uses 110 g, or half to twice that"
    # PHREEQC 3 (phreeqc.dat) gives +0.476 for this water.
    water = {"ph": 7.8, "hardness": 400.0, "alkalinity": 120.0, "stabiliser": 0.0, "tested_salt": 3500.0}
    assert figure("scaling_tendency", **water, unit_temp=28.0) == "index +0.5, give or take 0.1"


@given(st.floats(0, 300), st.floats(0, 200))
def test_readings_near_nothing_give_no_figure_and_no_error(volts: float, amps: float) -> None:
    for finding in KNOWLEDGE.findings:
        figure(finding, cell_voltage=volts, cell_current=amps, tested_salt=3500.0, unit_salt=volts, pool_volume=amps)
    assert figure("cell_health", cell_voltage=10.0, cell_current=5e-324, tested_salt=3500.0, water_temp=25.0) == ""

"""A drip, and too much salt, against published figures: what a drip takes along, what tells pool water from fresh,
what swaps leave, and what a wrong temperature or a meter's scale makes of the salt."""

from __future__ import annotations

import math

import gsw
import pytest

from engine.chlorinator.dose_limits import swaps_for
from engine.chlorinator.water import conductivity_ms_cm, drain_m3, overflow_m3, practical_salinity
from tests.shipped import knowledge

DEFAULT = knowledge().units["default"]
UNIT = knowledge().units["default"].values
GALLON_M3 = 0.003785412
POOL_M3 = 50.0
SECONDS_A_YEAR = 365.25 * 86400

# US EPA, WaterSense, "Fix a Leak Week" (read): drips a minute, gallons a year.
DRIPS = [(60, 3000), (10, 500)]


@pytest.mark.parametrize(("a_minute", "gallons_a_year"), DRIPS)
def test_the_published_drips_agree_on_the_size_of_a_drop(a_minute: int, gallons_a_year: int) -> None:
    drop_ml = gallons_a_year * GALLON_M3 * 1e6 / (a_minute / 60 * SECONDS_A_YEAR)
    assert drop_ml == pytest.approx(0.36, abs=0.01)


def test_a_drip_each_second_does_not_make_a_unit_warn_of_low_salt_within_a_year() -> None:
    """So a drip alone is no reason for low salt: the tree holds the two as a pair, and seldom."""
    lost_m3 = DRIPS[0][1] * GALLON_M3
    assert overflow_m3(POOL_M3, UNIT["salt.ideal"], UNIT["salt.low"]) > lost_m3
    pairs = knowledge().trees["cell-leak"].pairs
    both = next(share for pair, share in pairs.items() if set(pair) == {"union_oring_worn", "salt_low"})
    assert 0 < both <= 0.05


def test_a_litre_a_minute_does_within_a_fortnight() -> None:
    """A spray, by the same washout (stirred tank, worked by hand): 50 m³ x ln(3600 / 2800) = 12.57 m³, 8.7 days."""
    days = overflow_m3(POOL_M3, 3600, 2800) / (0.001 * 60 * 24)
    assert days == pytest.approx(8.7, abs=0.1)


def test_drinking_water_holds_a_fifth_at_most_of_the_salt_at_which_a_unit_stops() -> None:
    """Chloride 250 mg/L: 40 CFR 143.3 (read). Molar masses of NaCl and Cl: IUPAC. So a salt strip tells the drip."""
    tap_ppm = 250 * 58.443 / 35.453
    assert tap_ppm == pytest.approx(412, abs=1)
    for unit in knowledge().units.values():
        assert unit.values["salt.stop"] > 5 * tap_ppm


def test_pool_water_conducts_better_than_any_usual_fresh_water_even_when_it_is_cold() -> None:
    """Lakes and streams up to 0.2 mS/cm, great rivers up to 1: a water-quality guide of DataStream, Canada (read)."""
    assert conductivity_ms_cm(UNIT["salt.stop"] / 1000, 5) > 2 * 1.0


# A worked example in a public forum of pool owners (read): three ways to halve what is in the water.
HALVINGS = [((0.5,), 0.50), ((0.25, 0.25, 0.11), 0.61), ((0.05,) * 13 + (0.026,), 0.675)]


@pytest.mark.parametrize(("shares", "whole"), HALVINGS)
def test_swaps_halve_as_published_and_smaller_ones_take_more_water(shares: tuple[float, ...], whole: float) -> None:
    level = 7200.0
    for share in shares:
        now = level
        level *= 1 - share
        assert drain_m3(1.0, now, level) == pytest.approx(share, rel=1e-9)
    assert level == pytest.approx(3600, rel=0.01)
    assert sum(shares) == pytest.approx(whole, abs=0.005)
    assert sum(shares) < overflow_m3(1.0, 7200, 3600) + 0.005


@pytest.mark.parametrize(("now", "times"), [(4800, 1), (5500, 2), (7200, 2), (9000, 3)])
def test_the_swaps_that_a_sheet_tells_reach_the_ideal_and_never_take_more_than_a_third(now: int, times: int) -> None:
    """Worked by hand: 3600 of 9000 is 0.4, which two thirds of two thirds (0.444) do not reach."""
    swaps = swaps_for(drain_m3(1.0, now, 3600), knowledge().limits.swap_at_once)
    assert swaps.times == times
    assert swaps.each <= 1 / 3 + 1e-9
    assert now * (1 - swaps.each) ** swaps.times == pytest.approx(3600, rel=1e-6)


@pytest.mark.parametrize(("true_c", "taken_c"), [(26, 14), (26, 20), (20, 30), (18, 26)])
def test_a_sensor_that_reads_cold_makes_the_unit_read_salty_and_one_that_reads_hot_weak(
    true_c: float, taken_c: float
) -> None:
    """gsw 3.6.23 (TEOS-10), 3.5 g/kg: what a unit makes of the same water when it takes it for colder or warmer."""
    conductivity = float(gsw.C_from_SP(3.5, true_c, 0))
    theirs = float(gsw.SP_from_C(conductivity, taken_c, 0)) / 3.5
    ours = practical_salinity(conductivity_ms_cm(3.5, true_c), taken_c) / 3.5
    assert ours == pytest.approx(theirs, rel=5e-4)
    assert (theirs > 1) == (taken_c < true_c)


def test_only_a_sensor_some_eight_kelvin_off_is_seen_in_the_salt() -> None:
    """About 2 % a kelvin (PSS-78, by gsw): the finding calls up to 15 % agreement, so the thermometer tells sooner."""
    agrees = next(band.under for band in knowledge().findings["salt_gap"].bands if band.id == "agrees")
    assert agrees is not None
    gaps = {off: float(gsw.SP_from_C(gsw.C_from_SP(3.5, 25, 0), 25 - off, 0)) / 3.5 for off in (4, 8)}
    assert gaps[4] < agrees.value(DEFAULT) < gaps[8]


def test_a_general_meter_on_the_larger_scale_calls_right_salt_too_high() -> None:
    """Scales of 0.5 and 0.7 ppm for each µS/cm (common practice); conductivity by gsw 3.6.23."""
    micro = 1000 * float(gsw.C_from_SP(UNIT["salt.ideal"] / 1000, 25, 0))
    assert 0.7 * micro > UNIT["salt.high"]
    assert UNIT["salt.low"] < 0.5 * micro < UNIT["salt.ideal"]
    assert 0.7 * micro / UNIT["salt.ideal"] == pytest.approx(1.28, abs=0.01)
    assert math.isclose(micro / 1000, conductivity_ms_cm(UNIT["salt.ideal"] / 1000, 25), rel_tol=2e-4)

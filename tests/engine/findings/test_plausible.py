"""Numbers that are hardly meant are known by the bands of their check."""

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.findings.plausible import plausible_range
from engine.knowledge.model import Band, Limit
from tests.shipped import knowledge

UNIT = knowledge().units["default"]


# The default profile is invented: salt stops at 2400 ppm and is high over 4500 ppm.
@pytest.mark.parametrize(("value", "taken"), [(12, False), (240, True), (3200, True), (13500, True), (13600, False)])
def test_salt_far_outside_the_bands_is_asked_back(value: float, taken: bool) -> None:
    low, high = plausible_range(knowledge().checks["tested_salt"], UNIT)
    assert (low <= value <= high) is taken


@pytest.mark.parametrize(("volume", "taken"), [(3, False), (5, True), (48, True), (500, True), (3000, False)])
def test_a_pool_that_no_household_has_is_asked_back(volume: float, taken: bool) -> None:
    """5 to 500 m³ stands in limits.yaml, as judgement."""
    low, high = plausible_range(knowledge().checks["pool_volume"], UNIT, knowledge().limits)
    assert (low <= volume <= high) is taken


def test_ph_is_a_logarithm_so_its_range_is_whole_units() -> None:
    bands = (Band("low", Limit(7.0)), Band("right", Limit(8.0)), Band("high", None))
    assert plausible_range(replace(knowledge().checks["ph"], bands=bands), UNIT) == (4.0, 11.0)


@pytest.mark.parametrize("check", ["water_temp", "unit_temp"])
@pytest.mark.parametrize(("said", "taken"), [(60.0, False), (77.0, False), (38.0, True), (25.0, True), (0.5, True)])
def test_a_temperature_that_no_pool_has_is_asked_back(check: str, said: float, taken: bool) -> None:
    """60 and 77 are said of pools in °F: 16 and 25 °C. Water freezes at 0 °C, and baths are held to 40 °C."""
    low, high = plausible_range(knowledge().checks[check], UNIT)
    assert (low <= said <= high) is taken


def test_a_gauge_may_show_less_than_nothing() -> None:
    """A blocked suction takes a clean gauge of 80 kPa down to next to nothing: common practice, no source."""
    low, high = plausible_range(knowledge().checks["filter_pressure_rise"], UNIT)
    assert low < -60 < 0 < high


def test_what_is_met_every_week_in_a_crowded_pool_is_not_asked_back() -> None:
    """1.6 to 4 ppm of combined chlorine, and 4 ppm lost overnight to algae: common practice, no source."""
    checks = knowledge().checks
    assert plausible_range(checks["combined_chlorine"], UNIT)[1] >= 4.0
    assert plausible_range(checks["overnight_loss"], UNIT)[1] >= 4.0


def test_every_plausible_range_reaches_what_is_usual() -> None:
    for unit in knowledge().units.values():
        for check in knowledge().checks.values():
            if check.possible is None:
                continue
            low, high = plausible_range(check, unit)
            edges = [band.under.value(unit) for band in check.bands if band.under is not None]
            assert low <= min(edges) <= max(edges) <= high, check.id

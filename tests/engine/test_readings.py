from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from engine.model import Band, Limit
from engine.readings import Reading, band_weights, evidence, ordinary_demand_ppm_day
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
UNIT = KNOWLEDGE.units["default"]


def weights(answers: dict[str, str | float], id: str) -> dict[str, float]:
    found = {e.id: e for e in evidence(KNOWLEDGE, UNIT, {name: Reading(value) for name, value in answers.items()})}
    return dict(zip([a.id for a in KNOWLEDGE.observable(id).answers], found[id].weights, strict=True))


@given(st.floats(-100, 100), st.floats(0.1, 30))
def test_band_weights_are_shares_of_a_normal(mean: float, sd: float) -> None:
    """Against scipy.stats.norm, end bands open."""
    bands = [Band("low", Limit(-5.0)), Band("middle", Limit(12.0)), Band("high", None)]
    ours = band_weights(bands, ["middle", "low", "high"], UNIT, mean, sd)
    below, above = norm.cdf(-5, mean, sd), norm.cdf(12, mean, sd)
    assert ours == pytest.approx((above - below, below, 1 - above), abs=1e-12)


def test_a_plain_reading_lies_in_its_band() -> None:
    assert weights({"tested_salt": 3400.0}, "tested_salt")["right"] > 0.99


def test_a_reading_on_a_limit_is_half_in_each_band() -> None:
    shares = weights({"tested_salt": 2800.0}, "tested_salt")
    assert shares["right"] == pytest.approx(0.5, abs=0.01)
    assert shares["low"] == pytest.approx(0.5, abs=0.01)


def test_the_units_salt_speaks_through_the_gap_once_salt_is_tested() -> None:
    """2700 shown over 4100 tested is .66, well under the gap's .85; plain division."""
    answers: dict[str, str | float] = {"unit_salt": 2700.0, "tested_salt": 4100.0}
    assert weights(answers, "salt_gap")["reads_low"] > 0.98
    ids = {e.id for e in evidence(KNOWLEDGE, UNIT, {k: Reading(v) for k, v in answers.items()})}
    assert ids == {"tested_salt", "salt_gap"}


def test_current_that_follows_the_water_is_as_it_should_be() -> None:
    """PSS-78 (UNESCO 44): 10 degC carries .710 of the current of 25 degC, so 19 A becomes 13.5 A without a fault."""
    cold: dict[str, str | float] = {"cell_current": 13.5, "tested_salt": 3500.0, "water_temp": 10.0}
    assert weights(cold, "current_gap")["agrees"] > 0.95
    warm: dict[str, str | float] = {"cell_current": 13.5, "tested_salt": 3500.0, "water_temp": 30.0}
    assert weights(warm, "current_gap")["low"] > 0.9


def test_the_temperature_gap_is_a_difference() -> None:
    assert weights({"unit_temp": 9.5, "water_temp": 15.5}, "temperature_gap")["reads_low"] > 0.99
    assert weights({"unit_temp": 9.5, "water_temp": 9.0}, "temperature_gap")["agrees"] > 0.95


def test_a_balance_that_carries_and_two_that_do_not() -> None:
    """Grams by hand: 25 g/h x 24 h = 600 g into 25 m3; 25 x .6 x 3 = 45 g into 45 m3; 10 x 24 = 240 g into 200 m3."""

    def balance(volume: float, rate: float, setting: float, hours: float) -> dict[str, float]:
        return weights(
            {"pool_volume": volume, "rated_output": rate, "output_setting": setting, "run_hours": hours},
            "chlorine_balance",
        )

    assert balance(25, 25, 100, 24)["carries"] > 0.99
    assert balance(45, 25, 60, 3)["short_now"] > 0.9
    assert balance(200, 10, 100, 16)["short_always"] > 0.8


def test_a_balance_with_nothing_unusual_known_says_little() -> None:
    """Usual hours alone must not speak for or against a short balance: weights near even."""
    shares = weights({"run_hours": 8.0}, "chlorine_balance")
    assert max(shares.values()) / min(shares.values()) < 1.5


def test_supply_is_judged_against_the_sites_nominal_voltage() -> None:
    """EN 50160 allows 10 % (from memory): 118 V is right on a site of 120 V and low where nothing else was said."""
    assert weights({"supply_voltage": 118.0, "nominal_voltage": 120.0}, "supply_level")["right"] > 0.99
    assert weights({"supply_voltage": 118.0}, "supply_level")["low"] > 0.9
    assert weights({"supply_voltage": 188.0}, "supply_level")["low"] > 0.9


def test_demand_doubles_in_ten_degrees() -> None:
    """The usual rule for reaction rates, from memory."""
    assert ordinary_demand_ppm_day(30.0) / ordinary_demand_ppm_day(20.0) == pytest.approx(2.0)

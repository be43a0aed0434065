from __future__ import annotations

from dataclasses import replace

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import lognorm, norm

from engine.findings.cell_wear import production_hours
from engine.findings.chlorine_balance import DEMAND_LOG_SD, ample_demand_ppm_day, ordinary_demand_ppm_day
from engine.findings.evidence import Observation, evidence
from engine.findings.readings import band_weights
from engine.inference.belief import Array, TreeModel, likelihood
from engine.inference.compiling import compile_tree
from engine.knowledge.model import Band, Check, Limit
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
UNIT = KNOWLEDGE.units["default"]


def weights(answers: dict[str, str | float], id: str) -> dict[str, float]:
    found = {e.id: e for e in evidence(KNOWLEDGE, UNIT, {name: Observation(value) for name, value in answers.items()})}
    return dict(zip([a.id for a in KNOWLEDGE.observable(id).answers], found[id].weights, strict=True))


@pytest.mark.parametrize("check", [check for check in KNOWLEDGE.checks.values() if check.either])
def test_a_former_answer_says_one_of_those_that_it_may_mean(check: Check) -> None:
    """By the law of total probability: not knowing which of several is to believe each by its own share."""
    for tree in KNOWLEDGE.trees.values():
        model = compile_tree(KNOWLEDGE, tree)

        def joint(value: str, model: TreeModel = model) -> Array:
            found = evidence(KNOWLEDGE, UNIT, {check.id: Observation(value)})
            return model.prior * likelihood(model, found[0])

        for former, meant in check.either.items():
            assert joint(former) == pytest.approx(sum(joint(each) for each in meant), rel=1e-12)


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
    ids = {e.id for e in evidence(KNOWLEDGE, UNIT, {k: Observation(v) for k, v in answers.items()})}
    assert ids == {"tested_salt", "salt_gap"}


def test_current_that_follows_the_water_is_as_it_should_be() -> None:
    """PSS-78 (UNESCO 44): 10 degC carries .710 of the current of 25 degC, so 19 A becomes 13.5 A without a fault."""
    cold: dict[str, str | float] = {"cell_current": 13.5, "tested_salt": 3500.0, "water_temp": 10.0}
    assert weights(cold, "current_gap")["agrees"] > 0.95
    warm: dict[str, str | float] = {"cell_current": 13.5, "tested_salt": 3500.0, "water_temp": 30.0}
    assert weights(warm, "current_gap")["low"] > 0.9


def health(volts: float, amps: float, salt: float = 3500.0, temperature: float = 25.0) -> dict[str, float]:
    read: dict[str, str | float] = {
        "cell_voltage": volts,
        "cell_current": amps,
        "tested_salt": salt,
        "water_temp": temperature,
    }
    return weights(read, "cell_health")


def test_a_cell_is_judged_by_volts_amps_and_water_together() -> None:
    """Ohm's law beyond 2.2 V of onset (CRC Handbook, from memory), by hand, for a clean cell of 7.5 V and 19 A.

    8.4 V drive 19 x 6.2 / 5.3 = 22.2 A; 11.5 A are a constant of 1.93. 6 V behind a bad lead drive 19 x 3.8 / 5.3 =
    13.6 A through the same sound cell. Cold alone takes 29 % (PSS-78), and leaves the constant. Bent plates draw more.
    """
    assert health(7.5, 19.0)["sound"] > 0.95
    assert health(8.4, 11.5)["raised"] > 0.99
    assert health(6.0, 13.6)["starved"] > 0.9
    assert health(7.5, 13.5, temperature=10.0)["sound"] > 0.9
    assert health(4.0, 25.0)["bridged"] > 0.99
    # Barely over its onset a sound cell takes barely any current: .8 of 5.3 V drive 2.9 A, .5 V 1.8 A.
    assert health(3.0, 2.9)["raised"] < 0.5
    assert health(2.7, 1.8)["raised"] < 0.5
    assert health(7.5, 0.0)["no_current"] > 0.99
    assert health(0.0, 0.0)["no_current"] > 0.99


@given(st.floats(5.0, 9.0), st.floats(0.6, 1.2), st.floats(1500, 6000), st.floats(5, 34))
def test_a_sound_cell_is_never_called_scaled_for_its_volts_or_its_water(
    volts: float, efficiency: float, salt: float, temperature: float
) -> None:
    """Against gsw: a current that follows the volts beyond the onset and the water's conductivity, within 1.2 of it."""
    water = gsw.C_from_SP(salt / 1000, temperature / 1.00024, 0) / gsw.C_from_SP(3.5, 25 / 1.00024, 0)
    amps = 19.0 * float(water) * (volts - 2.2) / 5.3
    found = health(volts, amps, salt, temperature)
    assert found["sound"] + found["starved"] > 0.9
    doubled = health(volts, amps * efficiency / 3, salt, temperature)
    assert doubled["raised"] > 0.9


def test_volts_and_amps_speak_once_and_jointly() -> None:
    read = {"cell_voltage": 6.0, "cell_current": 10.0, "tested_salt": 3400.0}
    found = {e.id for e in evidence(KNOWLEDGE, UNIT, {name: Observation(value) for name, value in read.items()})}
    assert found == {"tested_salt", "cell_health"}
    without = {name: Observation(value) for name, value in read.items() if name != "cell_voltage"}
    assert {e.id for e in evidence(KNOWLEDGE, UNIT, without)} == {"tested_salt", "current_gap"}
    no_salt = {name: Observation(value) for name, value in read.items() if name != "tested_salt"}
    assert {e.id for e in evidence(KNOWLEDGE, UNIT, no_salt)} == {"cell_voltage", "cell_current"}
    fresh = {name: Observation(value) for name, value in {**read, "tested_salt": 20.0}.items()}
    assert {e.id for e in evidence(KNOWLEDGE, UNIT, fresh)} == set(read)


@given(st.floats(0.0, 12.0), st.floats(0.0, 60.0), st.floats(200, 6000), st.floats(0, 40))
def test_every_state_of_the_cell_has_its_share(volts: float, amps: float, salt: float, temperature: float) -> None:
    """Bridged, sound and raised leave nothing over: the shares are those of one normal ratio, split at its limits."""
    shares = health(volts, amps, salt, temperature)
    assert sum(shares.values()) == pytest.approx(1.0)
    assert all(0.0 <= share <= 1.0 for share in shares.values())


def test_a_profile_whose_volts_only_just_start_the_cell_judges_no_cell() -> None:
    """At onset no current flows through a clean cell, so there is nothing to compare with."""
    barely = replace(UNIT, values={**UNIT.values, "rated.voltage": UNIT.values["gaps"] * 2.2})
    read = {"cell_voltage": 7.5, "cell_current": 19.0, "tested_salt": 3500.0, "water_temp": 25.0}
    found = {e.id for e in evidence(KNOWLEDGE, barely, {name: Observation(value) for name, value in read.items()})}
    assert "cell_health" not in found


def test_a_meters_leads_may_be_swapped_but_frost_is_frost() -> None:
    """The sign of volts and amps is the meter's; that of a temperature is the water's."""
    assert weights({"cell_current": -19.0}, "cell_current") == weights({"cell_current": 19.0}, "cell_current")
    assert weights({"cell_voltage": -7.5}, "cell_voltage") == weights({"cell_voltage": 7.5}, "cell_voltage")
    assert weights({"unit_temp": -2.0, "water_temp": 2.0}, "temperature_gap")["reads_low"] > 0.7


def test_a_temperature_that_was_measured_makes_the_balance_surer() -> None:
    """25 g/h, half of all day, into 110 m3 at the usual temperature: measured, the spread of demand is smaller."""
    pool: dict[str, str | float] = {"pool_volume": 110, "rated_output": 25, "output_setting": 50, "run_hours": 24}
    middle = KNOWLEDGE.findings["chlorine_balance"].assume["water_temp"].points[0][0]
    unsure = weights(pool, "chlorine_balance")["carries"]
    assert weights({**pool, "water_temp": middle}, "chlorine_balance")["carries"] > unsure


WATER = {
    "ph": 7.8,
    "water_temp": 28.0,
    "hardness": 400.0,
    "alkalinity": 120.0,
    "stabiliser": 0.0,
    "tested_salt": 3500.0,
}


@pytest.mark.parametrize(
    ("water", "tendency"),
    [
        # PHREEQC 3 (phreeqc.dat) gives +0.48, -0.73, -0.04 and +0.85 for these waters, salt as sodium chloride.
        ({}, "scaling"),
        ({"ph": 7.2, "water_temp": 15.0, "hardness": 200.0, "alkalinity": 80.0, "tested_salt": 3000.0}, "dissolving"),
        ({"ph": 7.5, "water_temp": 25.0, "hardness": 300.0, "alkalinity": 100.0, "tested_salt": 3200.0}, "balanced"),
        ({"ph": 8.0, "water_temp": 32.0, "hardness": 500.0, "alkalinity": 150.0, "tested_salt": 5000.0}, "scaling"),
    ],
)
def test_the_scaling_tendency_is_the_index_of_phreeqc(water: dict[str, float], tendency: str) -> None:
    assert weights({**WATER, **water}, "scaling_tendency")[tendency] > 0.8


def test_acidity_hardness_and_alkalinity_speak_together_once_all_three_are_known() -> None:
    def ids(read: dict[str, float]) -> set[str]:
        return {e.id for e in evidence(KNOWLEDGE, UNIT, {name: Observation(value) for name, value in read.items()})}

    three = {name: WATER[name] for name in ("ph", "hardness", "alkalinity")}
    assert ids(three) == {"scaling_tendency", "balance_driver"}
    assert ids({name: three[name] for name in ("ph", "hardness")}) == {"ph", "hardness"}
    assert ids({**three, "ph": 9.5}) == set(three), "outside the formula each speaks for itself"


def test_wear_is_hours_of_production_over_the_units_life() -> None:
    """By hand: 5 years x 365.25 x 3/4 x 10 h x 80 % are 10 957 h of 9000; 2 years x 4 h x 50 % are 1096 h.

    The season of nine months is common practice, no source; the shares of wear are those of a Weibull life's quarters.
    """
    assert production_hours(5.0, 10.0, 80.0) == pytest.approx(10957.5)
    assert production_hours(1.0, 30.0, 150.0) == production_hours(1.0, 24.0, 100.0), "a day and a cell have no more"
    assert UNIT.values["electrode_hours"] == 9000
    busy: dict[str, str | float] = {"cell_age_years": 5.0, "run_hours": 10.0, "output_setting": 80.0}
    assert weights(busy, "cell_wear")["old"] > 0.6
    idle: dict[str, str | float] = {"cell_age_years": 2.0, "run_hours": 4.0, "output_setting": 50.0}
    assert weights(idle, "cell_wear")["young"] > 0.9
    unset: dict[str, str | float] = {"cell_age_years": 5.0, "run_hours": 10.0}
    assert max(weights(unset, "cell_wear").values()) < max(weights(busy, "cell_wear").values())


def test_age_speaks_for_itself_until_the_hours_a_day_are_known() -> None:
    found = evidence(KNOWLEDGE, UNIT, {"cell_age_years": Observation(5.0)})
    assert [e.id for e in found] == ["cell_age_years"]
    both = evidence(KNOWLEDGE, UNIT, {"cell_age_years": Observation(5.0), "run_hours": Observation(9.0)})
    assert {e.id for e in both} == {"cell_wear", "chlorine_balance"}


def test_the_temperature_gap_is_a_difference() -> None:
    assert weights({"unit_temp": 9.5, "water_temp": 15.5}, "temperature_gap")["reads_low"] > 0.99
    assert weights({"unit_temp": 9.5, "water_temp": 9.0}, "temperature_gap")["agrees"] > 0.95


def test_a_balance_that_carries_and_two_that_do_not() -> None:
    """Grams by hand: 20 x .6 x 8 = 96 g into 40 m3, which want 64; 25 g/h x 24 h = 600 g into 25 m3;
    25 x .6 x 3 = 45 g into 45 m3; 10 x 24 = 240 g into 200 m3."""

    def balance(volume: float, rate: float, setting: float, hours: float) -> dict[str, float]:
        return weights(
            {"pool_volume": volume, "rated_output": rate, "output_setting": setting, "run_hours": hours},
            "chlorine_balance",
        )

    assert balance(40, 20, 60, 8)["carries"] == max(balance(40, 20, 60, 8).values())
    assert balance(25, 25, 100, 24)["far_over"] > 0.99
    assert balance(45, 25, 60, 3)["short_now"] > 0.8
    assert balance(200, 10, 100, 16)["short_always"] > 0.8


def test_a_unit_that_runs_day_and_night_at_full_setting_is_not_short_for_its_hours() -> None:
    """By hand: 10 g/h all day are 240 g; 150 m3 at 1.6 ppm want as much, 300 m3 twice that. No more can be set."""
    for volume in (150.0, 300.0):
        pool = {"pool_volume": volume, "rated_output": 10.0, "output_setting": 100.0, "run_hours": 24.0}
        shares = weights({**pool, "water_temp": 25.0}, "chlorine_balance")
        assert 0.0 <= shares["short_now"] < 0.01


def test_a_balance_with_nothing_unusual_known_says_little() -> None:
    """Usual hours alone must not speak for or against a short balance: weights near even."""
    shares = weights({"run_hours": 8.0}, "chlorine_balance")
    assert max(shares.values()) / min(shares.values()) < 1.5


def test_supply_is_judged_against_the_sites_nominal_voltage() -> None:
    """EN 50160 allows 10 % (from memory): 118 V is right on a site of 120 V and low where nothing else was said."""
    assert weights({"supply_voltage": 118.0, "nominal_voltage": 120.0}, "supply_level")["right"] > 0.99
    assert weights({"supply_voltage": 118.0}, "supply_level")["low"] > 0.9
    assert weights({"supply_voltage": 188.0}, "supply_level")["low"] > 0.9
    for site in (120.0, 230.0, 240.0):
        assert sum(
            weights({"supply_voltage": 118.0, "nominal_voltage": site}, "supply_level").values()
        ) == pytest.approx(1)


def test_demand_doubles_in_ten_degrees() -> None:
    """The usual rule for reaction rates, from memory."""
    assert ordinary_demand_ppm_day(30.0) / ordinary_demand_ppm_day(20.0) == pytest.approx(2.0)


@given(st.floats(5.0, 35.0))
def test_a_setting_is_made_for_seven_pools_of_ten(warmth_c: float) -> None:
    """Against scipy.stats.lognorm."""
    quantile = lognorm.ppf(0.7, s=DEMAND_LOG_SD, scale=ordinary_demand_ppm_day(warmth_c))
    assert ample_demand_ppm_day(warmth_c) == pytest.approx(quantile, rel=1e-3)


@pytest.mark.parametrize("name", list(KNOWLEDGE.units))
def test_volts_below_the_onset_of_all_gaps_are_as_good_as_none(name: str) -> None:
    """1.358 V (chlorine) and 0.828 V (hydrogen in lye) for each gap, CRC Handbook, from memory: nothing flows below."""
    unit = KNOWLEDGE.units[name]
    onset = unit.values["gaps"] * (1.358 + 0.828)
    for volts, answer in ((0.85 * onset, "none"), (1.2 * onset, "low")):
        (found,) = evidence(KNOWLEDGE, unit, {"cell_voltage": Observation(volts)})
        order = [a.id for a in KNOWLEDGE.checks["cell_voltage"].answers]
        assert found.weights[order.index(answer)] > 0.9


POINTLESS = [
    (check.id, about, answer)
    for check in KNOWLEDGE.checks.values()
    for about, answers in check.pointless_if.items()
    for answer in answers
]


@pytest.mark.parametrize(("check", "about", "answer"), POINTLESS)
def test_what_another_answer_makes_pointless_says_nothing(check: str, about: str, answer: str) -> None:
    """The law of faults/README.md: two answers of one fact count once, and a reading of another state not at all."""
    item = KNOWLEDGE.checks[check]
    value: str | float = item.answers[-1].id if item.possible is None else sum(item.possible) / 2
    alone = {about: Observation(answer), "water_temp": Observation(21.0), "tested_salt": Observation(3400.0)}
    assert evidence(KNOWLEDGE, UNIT, {**alone, check: Observation(value)}) == evidence(KNOWLEDGE, UNIT, alone)
    assert any(check in e.readings for e in evidence(KNOWLEDGE, UNIT, {check: Observation(value)}))

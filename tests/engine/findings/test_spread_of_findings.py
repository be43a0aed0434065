"""How sure a derived finding is: its bands' shares against a hundred thousand draws of what the instruments may read.

Each reading is drawn from its own error, the derived number is worked out draw by draw (conductivity by gsw), and the
bands are counted. The engine's first-order propagation must come near that (JCGM 100, from memory).
"""

from __future__ import annotations

import gsw
import numpy as np
import pytest

from engine.chlorinator.balance import PoolWater, water_index
from engine.chlorinator.cell import RAISED_ABOVE
from engine.findings.evidence import Observation, evidence
from engine.inference.belief import Array
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
UNIT = KNOWLEDGE.units["default"]
DRAWS = 100_000


def weights(answers: dict[str, float], id: str) -> dict[str, float]:
    found = {e.id: e for e in evidence(KNOWLEDGE, UNIT, {name: Observation(value) for name, value in answers.items()})}
    return dict(zip([a.id for a in KNOWLEDGE.observable(id).answers], found[id].weights, strict=True))


def read(rng: np.random.Generator, name: str, value: float) -> Array:
    error = KNOWLEDGE.checks[name].error
    assert error is not None
    return rng.normal(value, max(error.relative * abs(value), error.absolute), DRAWS)


@pytest.mark.parametrize(("shown", "tested"), [(2900.0, 3300.0), (2500.0, 3200.0), (4100.0, 3400.0)])
def test_unit_salt_over_tested_salt(shown: float, tested: float) -> None:
    """Two sound measurements differ by 5 % beyond their errors (judgement)."""
    rng = np.random.default_rng(1)
    ratio = read(rng, "unit_salt", shown) / read(rng, "tested_salt", tested) * np.exp(rng.normal(0, 0.05, DRAWS))
    found = weights({"unit_salt": shown, "tested_salt": tested}, "salt_gap")
    assert found["reads_low"] == pytest.approx((ratio < 0.85).mean(), abs=0.03)
    assert found["reads_high"] == pytest.approx((ratio >= 1.15).mean(), abs=0.03)


@pytest.mark.parametrize(("amps", "temperature"), [(14.6, 25.0), (10.6, 10.0), (23.0, 25.0), (7.7, 0.5), (13.0, 0.5)])
def test_current_over_what_the_water_should_give(amps: float, temperature: float) -> None:
    rng = np.random.default_rng(2)
    salt = read(rng, "tested_salt", 3500.0) / 1000
    warmth = read(rng, "water_temp", temperature)
    water = gsw.C_from_SP(salt, warmth / 1.00024, 0) / gsw.C_from_SP(3.5, 25 / 1.00024, 0)
    ratio = read(rng, "cell_current", amps) / (19.0 * water)
    found = weights({"cell_current": amps, "tested_salt": 3500.0, "water_temp": temperature}, "current_gap")
    assert found["low"] == pytest.approx(((ratio >= 0.05) & (ratio < 0.75)).mean(), abs=0.06)
    assert found["high"] == pytest.approx((ratio >= 1.25).mean(), abs=0.06)


@pytest.mark.parametrize("amps", [13.0, 14.6, 22.0, 23.0, 25.0])
def test_current_over_what_water_of_a_usual_temperature_should_give(amps: float) -> None:
    """Not measured, the water that a unit is asked about is 25 degC give or take 3."""
    rng = np.random.default_rng(7)
    salt, warmth = read(rng, "tested_salt", 3500.0) / 1000, rng.normal(25.0, 3.0, DRAWS)
    water = gsw.C_from_SP(salt, warmth / 1.00024, 0) / gsw.C_from_SP(3.5, 25 / 1.00024, 0)
    ratio = read(rng, "cell_current", amps) / (19.0 * water)
    found = weights({"cell_current": amps, "tested_salt": 3500.0}, "current_gap")
    assert found["low"] == pytest.approx((ratio < 0.75).mean(), abs=0.04)
    assert found["high"] == pytest.approx((ratio >= 1.25).mean(), abs=0.04)


@pytest.mark.parametrize("hardness", [150.0, 250.0, 330.0])
@pytest.mark.parametrize("temperature", [None, 27.0])
def test_scaling_tendency_with_and_without_the_temperature(hardness: float, temperature: float | None) -> None:
    """The index is checked elsewhere; models of it differ by .1. Not measured, the water is 25 degC give or take 4."""
    rng = np.random.default_rng(3)
    known = {"ph": 7.6, "hardness": hardness, "alkalinity": 100.0, "stabiliser": 30.0, "tested_salt": 3400.0}
    known |= {} if temperature is None else {"water_temp": temperature}
    count = 4000
    warm = rng.normal(25.0, 4.0, count) if temperature is None else read(rng, "water_temp", temperature)[:count]
    inputs = [read(rng, name, known[name])[:count] for name in ("ph", "hardness", "alkalinity")]
    ph, calcium, alkaline = inputs
    waters = [PoolWater(p, t, h, a, 30.0, 3400.0) for p, t, h, a in zip(ph, warm, calcium, alkaline, strict=True)]
    index = np.array([water_index(water) for water in waters]) + rng.normal(0, 0.1, count)
    found = weights(known, "scaling_tendency")
    assert found["scaling"] == pytest.approx((index >= 0.3).mean(), abs=0.04)
    assert found["dissolving"] == pytest.approx((index < -0.3).mean(), abs=0.04)


@pytest.mark.parametrize("age", [2.5, 5.0, 7.0])
def test_wear_of_a_cell(age: float) -> None:
    """Hours made over 9000; the season of nine months differs by 30 % between climates (judgement)."""
    rng = np.random.default_rng(4)
    hours = read(rng, "cell_age_years", age) * 365.25 * 0.75 * read(rng, "run_hours", 8.0)
    share = hours * read(rng, "output_setting", 70.0) / 100 / 9000 * (1 + rng.normal(0, 0.3, DRAWS))
    found = weights({"cell_age_years": age, "run_hours": 8.0, "output_setting": 70.0}, "cell_wear")
    for band, low, high in (("young", -9, 0.3), ("middling", 0.3, 0.6), ("ageing", 0.6, 0.95), ("old", 0.95, 99)):
        assert found[band] == pytest.approx(((share >= low) & (share < high)).mean(), abs=0.06)


def test_balance_of_a_pool_whose_numbers_are_all_known() -> None:
    """Demand is 2.2 ppm a day at 25 degC within a factor of two (95 %), twice as much 10 degC warmer.

    What the readings make of each band over what the usual spread of them makes of it, at most fifty times as much.
    Far over is twice the demand or more.
    """
    rng = np.random.default_rng(5)

    def spread(middle: float, factor: float) -> Array:
        return middle * np.exp(rng.normal(0, np.log(factor), DRAWS))

    def bands(volume: Array, rate: Array, setting: Array, hours: Array, warm: Array) -> Array:
        need = volume * 2.2 * 2 ** ((warm - 25) / 10) * np.exp(rng.normal(0, 0.35, DRAWS))
        made = rate * setting / 100 * hours
        carries, never, over = made >= need, rate * 24 < need, made >= 2 * need
        return np.array([(carries & ~over).mean(), (~carries & ~never).mean(), never.mean(), over.mean()])

    names = ("pool_volume", "rated_output", "output_setting", "run_hours", "water_temp")
    usually = ((60.0, 20.0, 70.0, 8.0, 26.0), (180.0, 15.0, 95.0, 20.0, 29.0), (60.0, 15.0, 50.0, 9.0, 22.0))
    for values in (*usually, (200.0, 10.0, 100.0, 16.0, 28.0), (90.0, 10.0, 50.0, 10.0, 24.0)):
        known = bands(*(read(rng, name, value) for name, value in zip(names, values, strict=True)))
        usual = bands(
            spread(50, 1.5), spread(20, 1.35), *(rng.normal(m, s, DRAWS) for m, s in ((65, 18), (8, 1.5), (25, 3)))
        )
        ratios = np.minimum(known / usual, 50.0)
        found = weights(dict(zip(names, values, strict=True)), "chlorine_balance")
        expected = dict(zip(("carries", "short_now", "short_always", "far_over"), ratios / ratios.sum(), strict=True))
        assert found == pytest.approx(expected, abs=0.12 if values in usually else 0.04)


def test_state_of_a_cell_by_volts_and_amps() -> None:
    """Push over flow, both against a clean cell; 2.2 V of onset differ by .2 between sound cells (from memory)."""
    rng = np.random.default_rng(6)
    for volts, amps in ((7.5, 13.0), (8.2, 15.5), (7.2, 12.0), (4.5, 7.0), (4.5, 6.0), (4.0, 5.0), (2.7, 1.8)):
        salt, warm = read(rng, "tested_salt", 3500.0) / 1000, read(rng, "water_temp", 25.0)
        water = gsw.C_from_SP(salt, warm / 1.00024, 0) / gsw.C_from_SP(3.5, 25 / 1.00024, 0)
        onset = rng.normal(2.2, 0.2, DRAWS)
        push = (read(rng, "cell_voltage", volts) - onset) / (7.5 - onset)
        ratio = push / (read(rng, "cell_current", amps) / (19.0 * water))
        read_off = {"cell_voltage": volts, "cell_current": amps, "tested_salt": 3500.0, "water_temp": 25.0}
        found = weights(read_off, "cell_health")
        assert found["raised"] == pytest.approx((ratio >= RAISED_ABOVE).mean(), abs=0.08)


def test_a_measured_temperature_goes_before_the_units_own() -> None:
    """Cold water scales less (PHREEQC, as elsewhere); the unit's number serves where nothing was measured."""
    water = {"ph": 7.8, "hardness": 380.0, "alkalinity": 120.0, "stabiliser": 30.0, "tested_salt": 3400.0}
    measured = weights({**water, "water_temp": 27.0}, "scaling_tendency")
    assert weights({**water, "water_temp": 27.0, "unit_temp": 8.0}, "scaling_tendency") == measured
    cold = weights({**water, "unit_temp": 8.0}, "scaling_tendency")
    assert cold["scaling"] < weights(water, "scaling_tendency")["scaling"] - 0.1
    assert weights({**water, "unit_temp": 27.0}, "scaling_tendency") == pytest.approx(measured)

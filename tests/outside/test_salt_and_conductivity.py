"""Salt: conductivity against the oceanographers' library and UNESCO's check values; doses by mass balance."""

from __future__ import annotations

import gsw
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from phreeqpython import PhreeqPython

from engine.chlorinator.limits import RangeError
from engine.chlorinator.water import (
    conductivity_ms_cm,
    drain_m3,
    overflow_m3,
    practical_salinity,
    salt_dose_kg,
    volume_from_salt_m3,
)
from engine.computations import compute
from tests.example_counts import up_to

TEMPERATURES = st.floats(-2, 35)
SALINITIES = st.floats(0.05, 42)


def result(name: str, key: str, **given: object) -> float:
    value = compute(name, {word: str(typed) for word, typed in given.items()}).results[key]
    assert isinstance(value, (int, float))
    return value


# UNESCO Technical Papers in Marine Science 44 (Fofonoff & Millard 1983), check values of the Practical Salinity Scale,
# from memory: conductivity ratio, temperature (IPTS-68), pressure in dbar, salinity. The scale's pressure factor
# stands here, as a pool is at the surface: the ratio is divided by it first.
UNESCO = [(1.0, 15.0, 0.0, 35.0000), (1.2, 20.0, 2000.0, 37.2456), (0.65, 5.0, 1500.0, 27.9953)]
STANDARD_MS_CM = 42.914


def pressure_factor(ratio: float, t68: float, dbar: float) -> float:
    top = dbar * (2.070e-5 + dbar * (-6.370e-10 + dbar * 3.989e-15))
    return 1 + top / (1 + 3.426e-2 * t68 + 4.464e-4 * t68**2 + (4.215e-1 - 3.107e-3 * t68) * ratio)


@pytest.mark.parametrize(("ratio", "t68", "dbar", "salinity"), UNESCO)
def test_the_unesco_check_values_come_out(ratio: float, t68: float, dbar: float, salinity: float) -> None:
    conductivity = ratio / pressure_factor(ratio, t68, dbar) * STANDARD_MS_CM
    assert practical_salinity(conductivity, t68 / 1.00024) == pytest.approx(salinity, abs=5e-5)


# TEOS-10 library gsw 3.6.23, C_from_SP at 0 dbar, mS/cm.
FORWARD = {
    5: (2.350, 2.902, 3.446, 3.984, 4.516, 5.565, 6.599),
    10: (2.691, 3.322, 3.944, 4.559, 5.167, 6.366, 7.546),
    15: (3.047, 3.761, 4.464, 5.159, 5.846, 7.201, 8.534),
    20: (3.416, 4.215, 5.003, 5.781, 6.550, 8.067, 9.558),
    25: (3.797, 4.684, 5.559, 6.423, 7.277, 8.960, 10.615),
    30: (4.188, 5.166, 6.130, 7.082, 8.023, 9.877, 11.700),
    35: (4.588, 5.659, 6.714, 7.756, 8.786, 10.815, 12.809),
}


@pytest.mark.parametrize("temperature", FORWARD)
def test_the_printed_conductivities_come_out(temperature: int) -> None:
    for salinity, expected in zip((2, 2.5, 3, 3.5, 4, 5, 6), FORWARD[temperature], strict=True):
        found = result("conductivity-from-salt", "conductivity_ms_cm", salinity=salinity, temp=temperature)
        assert found == pytest.approx(expected, rel=0.0005)


# gsw 3.6.23, SP_from_C at 0 dbar.
INVERSE = [
    (4, 25, 2.114), (5, 25, 2.680), (6.5, 25, 3.545), (8, 25, 4.428), (6, 10, 4.693), (6, 30, 2.932), (5, 10, 3.862),
    (7, 30, 3.457), (4.5, 18, 2.810), (1, 25, 0.4925),
]  # fmt: skip


@pytest.mark.parametrize(("conductivity", "temperature", "salinity"), INVERSE)
def test_the_printed_salinities_come_out(conductivity: float, temperature: float, salinity: float) -> None:
    found = result("salt-from-conductivity", "practical_salinity", conductivity=conductivity, temp=temperature)
    assert found == pytest.approx(salinity, rel=0.0005)
    ppm = result("salt-from-conductivity", "salt_ppm", conductivity=conductivity, temp=temperature)
    assert ppm == pytest.approx(1000 * found)


@given(SALINITIES, TEMPERATURES)
def test_conductivity_agrees_with_gsw_everywhere(salinity: float, temperature: float) -> None:
    # Below 0.5 gsw's own inverse is an approximation, which is why the tolerance is not that of the next test.
    assert conductivity_ms_cm(salinity, temperature) == pytest.approx(
        float(gsw.C_from_SP(salinity, temperature, 0)), rel=2e-4
    )


@given(st.floats(0.01, 30), TEMPERATURES)
def test_salinity_agrees_with_gsw_everywhere(conductivity: float, temperature: float) -> None:
    assert practical_salinity(conductivity, temperature) == pytest.approx(
        float(gsw.SP_from_C(conductivity, temperature, 0)), rel=1e-9, abs=1e-9
    )


@given(st.floats(0.005, 42), TEMPERATURES)
def test_salinity_to_conductivity_and_back_returns(salinity: float, temperature: float) -> None:
    assert practical_salinity(conductivity_ms_cm(salinity, temperature), temperature) == pytest.approx(
        salinity, rel=1e-9
    )


@given(SALINITIES, SALINITIES, TEMPERATURES, TEMPERATURES)
def test_more_salt_and_more_warmth_conduct_more(one: float, other: float, cool: float, warm: float) -> None:
    (low, high), (cool, warm) = sorted((one, other)), sorted((cool, warm))
    assert conductivity_ms_cm(low, cool) <= conductivity_ms_cm(high, cool)
    assert conductivity_ms_cm(low, cool) <= conductivity_ms_cm(low, warm)


@pytest.mark.parametrize(
    ("temperature", "percent_per_k"), [(5, 1.90), (10, 1.94), (15, 1.97), (20, 2.00), (30, 2.05), (35, 2.08)]
)
def test_the_slope_with_temperature_is_near_the_meters_two_percent(temperature: float, percent_per_k: float) -> None:
    # Slopes against 25 °C at salinity 3.5: gsw 3.6.23. A meter's linear 2 % per kelvin is thus good to 2 % of reading.
    at_25 = conductivity_ms_cm(3.5, 25)
    slope = 100 * (conductivity_ms_cm(3.5, temperature) / at_25 - 1) / (temperature - 25)
    assert slope == pytest.approx(percent_per_k, abs=0.006)


# Molar conductivity of NaCl at 25 °C, S cm2/mol: Robinson & Stokes; CRC Handbook (from memory).
@pytest.mark.parametrize(("mol_l", "molar"), [(0.02, 115.70), (0.05, 111.01), (0.1, 106.69)])
def test_plain_salt_water_reads_a_little_high_on_the_sea_salt_scale(mol_l: float, molar: float) -> None:
    # A stated disagreement: the scale is for sea salt, which conducts less per gram than sodium chloride.
    read = practical_salinity(mol_l * molar, 25)
    assert 1.01 < read / (mol_l * 58.443) < 1.035


@settings(max_examples=up_to(40), deadline=None)
@given(st.floats(2, 7))
def test_phreeqc_and_the_sea_salt_scale_disagree_by_under_four_percent_at_25_degrees(salt_g_l: float) -> None:
    # PHREEQC (vitens.dat) conducts for pure NaCl: 5.646 mS/cm at 3 g/kg, which the scale reads as 3050 ppm.
    phreeqc = PhreeqPython(database="vitens.dat")
    solution = phreeqc.add_solution_simple({"NaCl": salt_g_l / 58.443 * 1000}, temperature=25)
    read = practical_salinity(solution.sc / 1000, 25)
    assert 1.0 < read / salt_g_l < 1.04


def test_the_half_rule_of_cheap_meters_reads_low_and_worse_when_cold() -> None:
    # PHREEQC (vitens.dat), NaCl 3 g/kg: 5.646 mS/cm at 25 °C, 3.860 at 10 °C. Half the conductivity as "ppm" says 2823
    # and 1930; the compensated scale stays within 3 %.
    assert 500 * 5.646 < 0.95 * 3000
    assert 500 * 3.860 < 0.65 * 3000
    assert 1000 * practical_salinity(5.646, 25) == pytest.approx(3050, rel=0.001)
    assert 1000 * practical_salinity(3.860, 10) == pytest.approx(2932, rel=0.001)


# Mass balance, worked by hand.
SALT_DOSES = [
    ("50", "1200", "3200", "1", 100.0, 4), ("20000usgal", "0", "3200", "0.99", 244.7, 10),
    ("60", "2500", "4000", "0.998", 90.18, 4),
]  # fmt: skip


@pytest.mark.parametrize(("volume", "now", "target", "purity", "salt_kg", "bags"), SALT_DOSES)
def test_salt_doses(volume: str, now: str, target: str, purity: str, salt_kg: float, bags: int) -> None:
    given = {"volume": volume, "now": now, "target": target, "purity": purity}
    assert result("salt-dose", "salt_kg", **given) == pytest.approx(salt_kg, rel=0.0005)
    assert result("salt-dose", "bags", **given) == bags


# Mass balance, and the washout of a stirred tank: worked by hand.
DILUTIONS = [
    (50, 5000, 3500, 200, 15.63, 18.73),
    (60, 6000, 4000, 0, 20.00, 24.33),
    (40, 4500, 3200, 300, 12.38, 14.81),
]


@pytest.mark.parametrize(("volume", "now", "target", "fill", "drain", "overflow"), DILUTIONS)
def test_dilutions(volume: float, now: float, target: float, fill: float, drain: float, overflow: float) -> None:
    given = {"volume": volume, "now": now, "target": target, "fill": fill}
    assert result("dilute", "drain_m3", **given) == pytest.approx(drain, rel=0.001)
    assert result("dilute", "overflow_m3", **given) == pytest.approx(overflow, rel=0.001)


VOLUMES = st.floats(0.5, 3000)
CONCENTRATIONS = (
    st.lists(st.floats(0, 40_000), min_size=3, max_size=3)
    .map(sorted)
    .filter(lambda c: c[0] + 1 < c[1] and c[1] + 1 < c[2])
)


@given(VOLUMES, CONCENTRATIONS, st.floats(0.5, 1))
def test_the_mass_balance_of_a_dose_closes(volume: float, levels: list[float], purity: float) -> None:
    now, target, _ = levels
    salt_kg = salt_dose_kg(volume, now, target, purity)
    assert now + salt_kg * purity * 1000 / volume == pytest.approx(target, rel=1e-9)
    assert volume_from_salt_m3(salt_kg * purity, now, target) == pytest.approx(volume, rel=1e-6)


@given(VOLUMES, CONCENTRATIONS)
def test_draining_and_refilling_gives_the_target_and_overflowing_costs_more(volume: float, levels: list[float]) -> None:
    fill, target, now = levels
    drained = drain_m3(volume, now, target, fill)
    assert ((volume - drained) * now + drained * fill) / volume == pytest.approx(target, rel=1e-9)
    assert 0 < drained < volume
    assert overflow_m3(volume, now, target, fill) > drained


@given(VOLUMES, CONCENTRATIONS)
def test_overflowing_in_many_small_steps_gives_the_same_water(volume: float, levels: list[float]) -> None:
    # Draining and refilling a little, very often, is overflowing: the slow plain way to the logarithm.
    fill, target, now = levels
    steps = 4000
    part = overflow_m3(volume, now, target, fill) / steps / volume
    level = now
    for _ in range(steps):
        level += (fill - level) * part
    assert level == pytest.approx(target, abs=0.005 * (now - fill))


@given(VOLUMES, CONCENTRATIONS)
def test_dose_then_dilute_returns(volume: float, levels: list[float]) -> None:
    fill, now, target = levels
    raised = now + salt_dose_kg(volume, now, target) * 1000 / volume
    drained = drain_m3(volume, raised, now, fill)
    assert ((volume - drained) * raised + drained * fill) / volume == pytest.approx(now, rel=1e-9, abs=1e-6)


def test_volume_from_the_rise_of_salt() -> None:
    # Mass balance: 40 kg raising 2400 to 3200 ppm is 50 m3.
    assert result("volume-from-salt", "volume_m3", salt=40, before=2400, after=3200) == pytest.approx(50)


@pytest.mark.parametrize("temperature", [-2.1, 35.1, float("nan")])
def test_temperatures_outside_the_scale_are_refused(temperature: float) -> None:
    with pytest.raises(RangeError, match="is outside -2 to 35 °C"):
        practical_salinity(5, temperature)
    with pytest.raises(RangeError, match="is outside -2 to 35 °C"):
        conductivity_ms_cm(3, temperature)


@pytest.mark.parametrize("salinity", [-0.1, 42.1, float("nan")])
def test_salinities_outside_the_scale_are_refused(salinity: float) -> None:
    with pytest.raises(RangeError, match="is outside 0 to 42"):
        conductivity_ms_cm(salinity, 20)


def test_a_conductivity_above_the_scale_is_refused() -> None:
    with pytest.raises(RangeError, match="dilute the sample"):
        practical_salinity(70, 20)

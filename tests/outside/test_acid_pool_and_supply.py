"""Cleaning acid, pool shapes, mixing, cable and transformer: handbook tables, integration, worked values."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from molmass import Formula
from scipy import integrate

from engine.chlorinator.acid import acid_mix, bicarbonate_for_acid_g, hydrochloric_density_g_ml
from engine.chlorinator.limits import RangeError
from engine.chlorinator.pool import ellipse_m3, mixed_share, round_m3, stadium_m3, turnovers
from engine.chlorinator.supply import cable_drop_v, standard_cable_drop_v, transformer_mains_a, transformer_va
from engine.computations import ComputationError, compute


def result(name: str, key: str, **given: object) -> float:
    value = compute(name, {word: str(typed) for word, typed in given.items()}).results[key]
    assert isinstance(value, (int, float))
    return value


# Density of hydrochloric acid at 20 °C, g/mL: Perry; CRC Handbook (from memory).
DENSITIES = [(10, 1.047), (20, 1.098), (28, 1.139), (30, 1.149), (32, 1.159), (36, 1.179), (37, 1.184)]


@pytest.mark.parametrize(("percent", "density"), DENSITIES)
def test_acid_densities(percent: float, density: float) -> None:
    assert hydrochloric_density_g_ml(percent) == pytest.approx(density, abs=1e-9)


def test_the_20_degree_baume_acid_stays_out_of_the_table() -> None:
    # 31.45 % is 1.160 at 15.6 °C; at 20 °C it lies between the neighbours.
    assert 1.149 < hydrochloric_density_g_ml(31.45) < 1.159


@given(st.floats(0, 37), st.floats(0, 37))
def test_stronger_acid_is_denser(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert hydrochloric_density_g_ml(low) <= hydrochloric_density_g_ml(high)


# Mass balance worked by hand, water 0.998 g/mL.
MIXES = [
    (31.45, 1.160, 10, 3.275, 0.910), (32, 1.159, 10, 3.33, 0.925), (28, 1.139, 10, 2.87, 0.795),
    (20, 1.098, 10, 1.98, 0.548), (37, 1.184, 10, 3.92, 1.092), (31.45, 1.160, 4, 7.08, 2.00),
]  # fmt: skip


@pytest.mark.parametrize(("strength", "density", "water", "percent", "mol_l"), MIXES)
def test_cleaning_mixes(strength: float, density: float, water: float, percent: float, mol_l: float) -> None:
    given = {"strength": strength, "density": density, "water": water}
    assert result("acid-mix", "percent", **given) == pytest.approx(percent, rel=0.003)
    assert result("acid-mix", "mol_l", **given) == pytest.approx(mol_l, rel=0.003)
    if strength != 31.45:
        assert result("acid-mix", "percent", strength=strength, water=water) == pytest.approx(percent, rel=0.003)


@given(st.floats(1, 37), st.floats(0.5, 30), st.floats(0.1, 3), st.floats(0.1, 50))
def test_a_mix_holds_the_acid_that_went_in(strength: float, water: float, acid: float, litres: float) -> None:
    assume(water >= acid)
    density = hydrochloric_density_g_ml(strength)
    mix = acid_mix(strength, density, water, acid, litres)
    assert mix.acid_ml + mix.water_ml == pytest.approx(1000 * litres)
    assert mix.water_ml / mix.acid_ml == pytest.approx(water / acid)
    hcl_g = mix.acid_ml * density * strength / 100
    assert mix.mol_l * litres * Formula("HCl").mass == pytest.approx(hcl_g, rel=1e-4)
    assert mix.percent == pytest.approx(100 * hcl_g / (mix.acid_ml * density + mix.water_ml * 0.998))


def test_ten_to_one_is_eleven_parts() -> None:
    # The slip: a tenth of 31.45 % is 3.145, an eleventh 2.86; by mass it is 3.28.
    assert result("acid-mix", "acid_ml", strength=31.45, cell=1.1) == pytest.approx(100)
    assert result("acid-mix", "percent", strength=31.45, density=1.160) == pytest.approx(3.28, abs=0.01)


def test_more_acid_than_water_is_no_mix() -> None:
    with pytest.raises(RangeError, match="more acid than water"):
        acid_mix(30, 1.149, 1, 10, 1)


def test_spent_acid_is_neutralised() -> None:
    # 1 L of the usual mix holds 0.91 mol, which takes 76 g of bicarbonate: worked by hand.
    assert result("spent-acid", "bicarbonate_g", litres=1, percent=3.275) == pytest.approx(76, rel=0.01)


@given(st.floats(0.1, 100), st.floats(0.1, 37))
def test_bicarbonate_equals_the_acid_mole_for_mole(litres: float, percent: float) -> None:
    moles = litres * 1000 * hydrochloric_density_g_ml(percent) * percent / 100 / Formula("HCl").mass
    assert bicarbonate_for_acid_g(litres, percent) == pytest.approx(moles * Formula("NaHCO3").mass, rel=1e-4)


@pytest.mark.parametrize("strength", [-1, 37.1, math.nan])
def test_acid_of_no_real_strength_is_refused(strength: float) -> None:
    with pytest.raises(RangeError, match="outside 0 to 37 %"):
        hydrochloric_density_g_ml(strength)


# Volumes checked by numerical integration.
SHAPES = [
    ("round", {"diameter": 5, "depth": 1.2}, 23.562), ("ellipse", {"length": 8, "width": 4, "depth": 1.4}, 35.186),
    ("rectangle", {"length": 10, "width": 5, "shallow": 1.0, "deep": 2.0}, 75.0),
    ("stadium", {"length": 9, "width": 4, "depth": 1.5}, 48.850),
    ("kidney", {"length": 9, "width": 4, "width2": 5, "depth": 1.5}, 0.45 * 9 * 9 * 1.5),
]  # fmt: skip


@pytest.mark.parametrize(("shape", "lengths", "volume"), SHAPES)
def test_pool_volumes(shape: str, lengths: dict[str, float], volume: float) -> None:
    assert result("pool-volume", "volume_m3", shape=shape, **lengths) == pytest.approx(volume, rel=0.0001)


def test_sections_add_up() -> None:
    # An L of 8x4 and 3x3 at 1.5 m; and 12x6 in three parts, the middle one sloping from 1.1 to 2.4 m.
    l_shape = [{"length": 8, "width": 4, "depth": 1.5}, {"length": 3, "width": 3, "depth": 1.5}]
    assert sum(result("pool-volume", "volume_m3", shape="rectangle", **part) for part in l_shape) == pytest.approx(61.5)
    hopper = [
        {"length": 4, "width": 6, "depth": 1.1},
        {"length": 4, "width": 6, "shallow": 1.1, "deep": 2.4},
        {"length": 4, "width": 6, "depth": 2.4},
    ]
    assert sum(result("pool-volume", "volume_m3", shape="rectangle", **part) for part in hopper) == pytest.approx(126.0)


@given(st.floats(1, 50), st.floats(1, 50), st.floats(0.3, 4))
def test_ellipse_and_stadium_agree_with_integration(one: float, other: float, depth: float) -> None:
    width, length = sorted((one, other))
    half = length / 2
    ellipse = 2 * integrate.quad(lambda t: width * half * math.sin(t) ** 2, 0, math.pi / 2)[0] * depth
    assert ellipse_m3(length, width, depth) == pytest.approx(ellipse, rel=1e-9)
    radius = width / 2
    ends = 4 * integrate.quad(lambda t: (radius * math.cos(t)) ** 2, 0, math.pi / 2)[0]
    assert stadium_m3(length, width, depth) == pytest.approx(((length - width) * width + ends) * depth, rel=1e-9)


@given(st.floats(1, 50), st.floats(0.3, 4))
def test_shapes_meet_where_they_are_the_same(size: float, depth: float) -> None:
    assert stadium_m3(size, size, depth) == pytest.approx(round_m3(size, depth))
    assert ellipse_m3(size, size, depth) == pytest.approx(round_m3(size, depth))


def test_twenty_thousand_us_gallons_are_75_708_cubic_metres() -> None:
    # 231 cubic inches to the gallon; a day's flow of the same pool agrees.
    assert compute("turnovers", {"volume": "20000usgal", "flow": "10", "hours": "1"}).inputs["volume"] == pytest.approx(
        75.708, rel=1e-5
    )


@pytest.mark.parametrize(
    ("given", "line"),
    [
        ("shape=square length=3 depth=1", "use one of rectangle, ellipse, round, stadium, kidney"),
        ("shape=rectangle length=3 depth=1", "shape=rectangle lacks width; give length, width and the depth"),
        ("shape=round diameter=3 width=2 depth=1", "shape=round has no width; give diameter and the depth"),
        ("shape=round diameter=3", "give either depth=..., or shallow=... and deep=..."),
        ("shape=round diameter=3 depth=1 deep=2", "give either depth=..., or shallow=... and deep=..."),
        ("shape=round diameter=3 shallow=1", "give either depth=..., or shallow=... and deep=..."),
        ("shape=round diameter=0 depth=1", "give a diameter above 0"),
        ("shape=round diameter=3 shallow=0 deep=2", "give a shallow end above 0"),
        ("shape=stadium length=3 width=4 depth=1", "give the longer measure as the length"),
    ],
)
def test_shapes_that_do_not_close_are_refused(given: str, line: str) -> None:
    with pytest.raises(ComputationError) as caught:
        compute("pool-volume", dict(pair.split("=") for pair in given.split()))
    assert line in str(caught.value)


# Washout of a stirred tank, worked by hand: 1 - 1/e for each turnover.
@pytest.mark.parametrize(("count", "share"), [(1, 0.632), (2, 0.865), (3, 0.950)])
def test_three_turnovers_mix_95_percent(count: float, share: float) -> None:
    assert mixed_share(count) == pytest.approx(share, abs=0.0005)
    assert turnovers(50, 10, 5 * count) == pytest.approx(count)
    assert result("turnovers", "mixed_share", volume=50, flow=10, hours=5 * count) == pytest.approx(share, abs=0.0005)


@given(st.floats(0, 30), st.floats(0, 30))
def test_what_two_runs_leave_unmixed_multiplies(one: float, other: float) -> None:
    left = (1 - mixed_share(one)) * (1 - mixed_share(other))
    assert 1 - mixed_share(one + other) == pytest.approx(left, rel=1e-6, abs=1e-12)


# IEC 60028 resistivity and temperature coefficient (from memory), worked by hand: at 20 and at 70 °C.
DROPS = [(20, 2, 1.5, 0.920, 1.100), (30, 10, 2.5, 4.138, 4.951), (3, 20, 4, 0.517, 0.619), (15, 7, 2.5, 1.448, 1.733)]


@pytest.mark.parametrize(("length", "current", "area", "cool", "warm"), DROPS)
def test_cable_drops(length: float, current: float, area: float, cool: float, warm: float) -> None:
    given = {"length": length, "current": current, "area": area}
    assert result("cable-drop", "drop_v", **given) == pytest.approx(cool, rel=0.001)
    assert result("cable-drop", "drop_v", temp=70, **given) == pytest.approx(warm, rel=0.001)
    assert result("cable-drop", "percent", voltage=24, **given) == pytest.approx(100 * cool / 24, rel=0.001)


# IEC 60228 class 2, maximum ohm/km at 20 °C (from memory): a kilometre each way at 1 A drops twice that.
@pytest.mark.parametrize(("area", "ohm_km"), [(1.5, 12.1), (2.5, 7.41), (4, 4.61), (6, 3.08), (10, 1.83)])
def test_the_standards_limit_is_five_to_seven_percent_above_pure_copper(area: float, ohm_km: float) -> None:
    table = result("cable-drop", "drop_table_v", length=1000, current=1, area=area)
    assert table == pytest.approx(2 * ohm_km)
    assert 1.04 < table / cable_drop_v(1000, 1, area) < 1.08


def test_a_cross_section_the_standard_does_not_list_here_has_no_limit() -> None:
    done = compute("cable-drop", {"length": "3", "current": "5", "area": "3.3"})
    assert done.results["drop_table_v"] is None
    assert done.results["percent"] is None
    assert "known here for 1.5, 2.5, 4, 6, 10" in done.notes[0]
    with pytest.raises(RangeError, match=r"use 1.5, 2.5, 4, 6, 10 mm²"):
        standard_cable_drop_v(3, 5, 3.3)


@given(st.floats(0.1, 500), st.floats(0.1, 100), st.floats(0.5, 50), st.floats(-40, 100))
def test_the_drop_is_ohms_law(length: float, current: float, area: float, temp: float) -> None:
    drop = cable_drop_v(length, current, area, temp)
    assert cable_drop_v(2 * length, current, area, temp) == pytest.approx(2 * drop)
    assert cable_drop_v(length, current, 2 * area, temp) == pytest.approx(drop / 2)
    assert cable_drop_v(length, current, area, temp + 10) > drop


# Definitions of efficiency and power factor, worked by hand.
PACKS = [
    (24, 7, 0.85, 0.95, 230, 208.0, 0.905), (7.5, 25, 0.75, 0.90, 230, 277.8, 1.208),
    (24, 5, 0.90, 0.98, 120, 136.1, 1.134), (30, 6, 0.80, 0.60, 240, 375, 1.563),
]  # fmt: skip


@pytest.mark.parametrize(("voltage", "current", "efficiency", "factor", "mains", "va", "mains_a"), PACKS)
def test_what_a_power_pack_takes(
    voltage: float, current: float, efficiency: float, factor: float, mains: float, va: float, mains_a: float
) -> None:
    given = {"voltage": voltage, "current": current, "efficiency": efficiency, "power_factor": factor, "mains": mains}
    assert result("transformer", "va", **given) == pytest.approx(va, rel=0.0005)
    assert result("transformer", "mains_a", **given) == pytest.approx(mains_a, rel=0.0005)


@given(st.floats(1, 50), st.floats(0.1, 50), st.floats(0.1, 1), st.floats(0.1, 1), st.floats(100, 480))
def test_power_in_is_power_out_and_losses(
    voltage: float, current: float, efficiency: float, factor: float, mains: float
) -> None:
    apparent = transformer_va(voltage, current, efficiency, factor)
    assert transformer_mains_a(apparent, mains) * mains * factor * efficiency == pytest.approx(voltage * current)


def test_a_fuse_is_never_computed() -> None:
    assert (
        "marked on the unit, never a larger one"
        in compute(
            "transformer", {"voltage": "24", "current": "7", "efficiency": "0.85", "power_factor": "0.95"}
        ).notes[0]
    )
    with pytest.raises(ComputationError, match="fit the rating and type marked on the unit"):
        compute("fuse-size", {})

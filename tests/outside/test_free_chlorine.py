"""Free chlorine: published constants and half-lives, an independent solver, and the laws they must keep."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from molmass import Formula
from scipy.optimize import brentq

from engine.chlorinator.disinfectant import (
    chlorine_left_ppm,
    free_chlorine_split,
    hocl_fraction,
    hocl_pka,
    hypochlorite_kg,
    hypochlorite_l,
    sun_half_life_min,
    thiosulfate_g,
)
from engine.chlorinator.limits import RangeError
from engine.computations import compute


def result(name: str, key: str, **given: object) -> float:
    value = compute(name, {word: str(typed) for word, typed in given.items()}).results[key]
    assert isinstance(value, (int, float))
    return value


# Morris 1966, J. Phys. Chem. 70, 3798 (formula from memory), worked by hand; 7.53 at 25 °C is the handbook value
# (Benjamin, Water Chemistry).
@pytest.mark.parametrize(("temperature", "pka"), [(10, 7.690), (25, 7.537), (35, 7.463)])
def test_the_acid_exponent_of_hypochlorous_acid(temperature: float, pka: float) -> None:
    assert hocl_pka(temperature) == pytest.approx(pka, abs=0.001)
    assert hocl_pka(25) == pytest.approx(7.53, abs=0.01)


HOCL = [
    (7.0, 25, 0.775), (7.2, 25, 0.685), (7.5, 25, 0.521), (7.8, 25, 0.353), (8.0, 25, 0.256), (7.5, 10, 0.608),
    (7.5, 35, 0.479), (8.2, 28, 0.170),
]  # fmt: skip


@pytest.mark.parametrize(("ph", "temperature", "fraction"), HOCL)
def test_the_share_of_hypochlorous_acid(ph: float, temperature: float, fraction: float) -> None:
    assert result("hocl", "fraction", ph=ph, temp=temperature) == pytest.approx(fraction, abs=0.001)


@given(st.floats(0, 14), st.floats(0, 14), st.floats(0, 35))
def test_acid_water_holds_more_hypochlorous_acid(one: float, other: float, temperature: float) -> None:
    low, high = sorted((one, other))
    assert 0 <= hocl_fraction(high, temperature) <= hocl_fraction(low, temperature) <= 1


def test_half_is_acid_at_the_acid_exponent() -> None:
    assert hocl_fraction(hocl_pka(20), 20) == pytest.approx(0.5)


# Nowell & Hoigné 1992, Water Research 26, 593 (abstract): half-lives at the surface, clear summer noon at 47 degrees
# north, of 12 min at pH 8 and 60 min at pH 5; the other rows from its two rates, worked by hand.
@pytest.mark.parametrize(
    ("ph", "minutes", "within"),
    [(8.0, 12, 0.03), (5.0, 60, 0.06), (8.0, 12.2, 0.01), (7.8, 13.6, 0.01), (7.5, 17.0, 0.01), (7.2, 22.4, 0.01)],
)
def test_sunlight_halves_unstabilised_chlorine_as_published(ph: float, minutes: float, within: float) -> None:
    assert result("sun-half-life", "minutes", ph=ph, temp=25) == pytest.approx(minutes, rel=within)


@given(st.floats(0, 14), st.floats(0, 35))
def test_the_sun_takes_between_its_two_limits(ph: float, temperature: float) -> None:
    assert math.log(2) / 1.2e-3 / 60 - 1e-9 <= sun_half_life_min(ph, temperature) <= 57.77


# O'Brien 1972; O'Brien, Morris & Butler 1974 (constants from memory) and Wahman & Alexander 2019 with Wahman 2018: rows
# solved once with a bracketing solver and confirmed by a second one.
SPLITS = [
    (7.5, 3, 0, 25, "1974", 1.569, 3.000), (7.5, 3, 30, 25, "1974", 0.0431, 0.0824),
    (7.5, 3, 50, 25, "1974", 0.0246, 0.0470), (7.5, 5, 80, 25, "1974", 0.0259, 0.0495),
    (7.2, 2, 50, 25, "1974", 0.0188, 0.0275), (7.8, 4, 70, 25, "1974", 0.0212, 0.0597),
    (7.5, 3, 50, 25, "2019", 0.0162, 0.0311), (7.5, 3, 50, 10, "2019", 0.0081, 0.0133),
    (7.5, 3, 50, 35, "2019", 0.0259, 0.0541),
]  # fmt: skip


@pytest.mark.parametrize(("ph", "fc", "cya", "temperature", "model", "hocl", "free"), SPLITS)
def test_free_chlorine_splits_as_published_constants_say(
    ph: float, fc: float, cya: float, temperature: float, model: str, hocl: float, free: float
) -> None:
    given = {"ph": ph, "fc": fc, "cya": cya, "temp": temperature, "model": model}
    assert result("free-chlorine-split", "hocl_mg_l", **given) == pytest.approx(hocl, rel=0.004)
    assert result("free-chlorine-split", "free_mg_l", **given) == pytest.approx(free, rel=0.004)


# Wahman & Alexander 2019 (abstract): 2 mg/L dosed as dichlor at pH 7.0 holds 0.90 mg/L free at 25 °C, 0.60 at 5 °C.
@pytest.mark.parametrize(("temperature", "free"), [(25, 0.90), (5, 0.60)])
def test_the_published_worked_example_comes_out(temperature: float, free: float) -> None:
    dichlor = 2 / 70.906 * 129.074 / 2  # two chlorines to each cyanurate
    assert dichlor == pytest.approx(1.820, abs=0.001)
    assert free_chlorine_split(7.0, 2, dichlor, temperature, "2019").free_mg_l == pytest.approx(free, rel=0.05)


def ten_species_by_another_path(ph: float, fc: float, cya: float) -> float:
    """Solve the same equilibria through the ions' own (derived) constants, in the logarithm, with scipy."""
    h = 10.0**-ph
    chlorine, cyanurate = fc / 70906, cya / 129074

    def balances(log_hocl: float) -> float:
        hocl = 10**log_hocl
        two_h = 1.0  # H2Cy-, to which all others are related
        species = {  # amount per H2Cy-, chlorines held
            "H3Cy": (two_h * h / 10**-6.88, 0),
            "H2Cy": (two_h, 0),
            "HCy": (two_h * 10**-11.40 / h, 0),
            "Cy": (two_h * 10**-11.40 / h * 10**-13.5 / h, 0),
            "HClCy": (two_h * hocl / 10**-5.62, 1),
            "H2ClCy": (two_h * hocl / 10**-5.62 * h / 10**-5.33, 1),
            "ClCy": (two_h * 10**-11.40 / h * hocl / 10**-6.90, 1),
            "Cl2Cy": (two_h * hocl**2 / 10**-5.62 / 10**-4.51, 2),
            "HCl2Cy": (two_h * hocl**2 / 10**-5.62 / 10**-4.51 * h / 10**-3.75, 2),
            "Cl3Cy": (two_h * hocl**3 / 10**-5.62 / 10**-4.51 * h / 10**-3.75 / 10**-1.80, 3),
        }
        whole = sum(amount for amount, _ in species.values())
        bound = cyanurate * sum(amount * held for amount, held in species.values()) / whole
        return float(hocl * (1 + 10**-7.54 / h) + bound - chlorine)

    return float(10 ** brentq(balances, -20, -1, xtol=1e-13) * 70906)


@settings(deadline=None)
@given(st.floats(6, 9), st.floats(0.1, 20), st.floats(1, 300))
def test_another_solver_on_the_derived_constants_agrees(ph: float, fc: float, cya: float) -> None:
    assert free_chlorine_split(ph, fc, cya).hocl_mg_l == pytest.approx(
        ten_species_by_another_path(ph, fc, cya), rel=1e-6
    )


@given(st.floats(6.5, 8.5), st.floats(0.5, 10), st.floats(0, 200), st.floats(0, 200), st.sampled_from(["1974", "2019"]))
def test_more_stabiliser_leaves_less_unbound(ph: float, fc: float, one: float, other: float, model: str) -> None:
    low, high = sorted((one, other))
    more, less = (free_chlorine_split(ph, fc, cya, 25, model) for cya in (low, high))
    assert less.free_mg_l <= more.free_mg_l <= fc * (1 + 1e-12)
    assert less.hocl_mg_l <= less.free_mg_l


@given(st.floats(6.5, 8.5), st.floats(0.5, 10), st.sampled_from(["1974", "2019"]))
def test_a_trace_of_stabiliser_is_nearly_none(ph: float, fc: float, model: str) -> None:
    none, trace = (free_chlorine_split(ph, fc, cya, 25, model).free_mg_l for cya in (0, 1e-6))
    assert trace == pytest.approx(none, rel=1e-5)
    assert none == pytest.approx(fc)


def test_the_two_models_disagree_by_a_third() -> None:
    # A stated disagreement: at 3 ppm, 50 ppm of stabiliser, pH 7.5, 25 °C the sets of constants differ by 34 %.
    older, newer = (free_chlorine_split(7.5, 3, 50, 25, model).hocl_mg_l for model in ("1974", "2019"))
    assert newer / older == pytest.approx(0.66, abs=0.01)
    assert (
        "0.02 ppm is hypochlorous acid"
        in compute("free-chlorine-split", {"ph": "7.5", "fc": "3", "cya": "50"}).working[0]
    )


def test_it_is_the_ratio_of_chlorine_to_stabiliser_that_counts() -> None:
    # 3 in 50 and 5 in 80: ratios 0.060 and 0.0625, hypochlorous acid 0.0246 and 0.0259 (O'Brien's constants).
    one, other = free_chlorine_split(7.5, 3, 50).hocl_mg_l, free_chlorine_split(7.5, 5, 80).hocl_mg_l
    assert one / other == pytest.approx(0.060 / 0.0625, rel=0.02)


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        ((7.5, 3, 50, 10, "1974"), "use model=2019"),
        ((7.5, 3, 50, 4, "2019"), "outside 5 to 35 °C"),
        ((5.5, 3, 50, 25, "2019"), "outside 6 to 9"),
        ((14.5, 3, 50, 25, "1974"), "outside 0 to 14"),
        ((7.5, -1, 50, 25, "1974"), "outside 0 to 1000 ppm"),
        ((7.5, 3, 50, 25, "mine"), "use 1974 or 2019"),
    ],
)
def test_the_models_are_not_stretched(arguments: tuple[float, float, float, float, str], line: str) -> None:
    with pytest.raises(RangeError, match=line):
        free_chlorine_split(*arguments)


# First-order decay, worked by hand.
@pytest.mark.parametrize(
    ("now", "half_life", "hours", "left"), [(3, "35min", 2, 0.279), (5, 8.4, 10, 2.19), (4, 8.4, 8, 2.07)]
)
def test_chlorine_decays(now: float, half_life: object, hours: float, left: float) -> None:
    assert result("chlorine-decay", "left_ppm", now=now, half_life=half_life, hours=hours) == pytest.approx(
        left, rel=0.003
    )


@given(st.floats(0, 100), st.floats(0.01, 1000), st.floats(0, 100), st.floats(0, 100))
def test_decay_in_two_steps_is_decay_in_one(now: float, half_life: float, first: float, second: float) -> None:
    in_two = chlorine_left_ppm(chlorine_left_ppm(now, half_life, first), half_life, second)
    assert in_two == pytest.approx(chlorine_left_ppm(now, half_life, first + second), rel=1e-9, abs=1e-300)


def test_thiosulfate_is_reckoned_to_sulfate() -> None:
    # S2O3(2-) + 4 HOCl: mass ratio from the molmass library; 0.875 g of pentahydrate per g of chlorine.
    ratio = Formula("Na2S2O3(H2O)5").mass / (4 * Formula("Cl2").mass)
    assert ratio == pytest.approx(0.875, abs=0.001)
    assert result("chlorine-down", "thiosulfate_g", volume=50, now=15, target=5) == pytest.approx(500 * ratio, rel=1e-3)


@given(st.floats(1, 1000), st.floats(0.1, 50), st.floats(0.5, 25))
def test_chlorine_added_by_hand_is_what_is_wanted(volume: float, rise: float, strength: float) -> None:
    litres = hypochlorite_l(volume, rise, strength)
    assert litres * 10 * strength / volume == pytest.approx(rise)  # g/L of liquid over m3 is mg/L
    assert hypochlorite_kg(volume, rise, strength) * 1000 * strength / 100 / volume == pytest.approx(rise)


def test_chlorine_by_hand_worked_by_hand() -> None:
    # 50 m3 by 3 ppm is 150 g: 1.2 L at 12.5 %, 0.2308 kg at 65 %.
    assert result("chlorine-up", "product_l", volume=50, by=3, strength=12.5, form="liquid") == pytest.approx(1.2)
    assert result("chlorine-up", "product_kg", volume=50, by=3, strength=65, form="granules") == pytest.approx(
        0.23077, rel=1e-4
    )


@pytest.mark.parametrize("target", [15, 16])
def test_there_is_nothing_to_take_out_up_to_a_higher_target(target: float) -> None:
    with pytest.raises(RangeError, match="use chlorine-up"):
        thiosulfate_g(50, 15, target)


@pytest.mark.parametrize("strength", [0, -1, 26, math.nan])
def test_liquid_chlorine_of_no_real_strength_is_refused(strength: float) -> None:
    with pytest.raises(RangeError, match="strength"):
        hypochlorite_l(50, 3, strength)

"""What the limits of the knowledge refuse or doubt: absurd amounts are never worked out as a recipe."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.computations import CATALOGUE, ComputationError, compute, compute_sections, read_value
from tests.shipped import knowledge

LIMITS = knowledge().limits

DANGEROUS = [
    ("acid-mix", "strength=32 water=1 acid=10", "stronger than 1 to 10"),
    ("acid-mix", "strength=32 water=4", "stronger than 1 to 10"),
    ("chlorine-up", "volume=50 by=60 strength=12.5", "60 ppm of chlorine is more than the 20 ppm allowed at once"),
]
HARDLY_MEANT = [
    # Sea water holds about 35 g/L of salts (practical salinity 35); units for pools are made for 3 to 6 g/L.
    ("salt-dose", "volume=50 now=3000 target=35000", "target 35000 ppm is above 6000 ppm"),
    ("salt-dose", "volume=3 now=3000 target=3500", "3 m³ is not the size of a home pool"),
    ("salt-dose", "volume=30000 now=3000 target=3500", "30000 m³ is not the size of a home pool"),
    ("stabiliser-up", "volume=30000 by=30", "30000 m³ is not the size of a home pool"),
    ("acid-dose", "volume=50 ph=7.8 target=6 ta=110 cya=40 temp=25 salt=3200 hardness=300", "below pH 7"),
    ("dilute", "volume=50 now=35000 target=3600", "that is 90 % of the water"),
    # Ten metres by five, typed in centimetres as metres.
    ("pool-volume", "shape=rectangle length=1000 width=500 depth=1.5", "length of 1000 m is unlikely"),
    ("pool-volume", "shape=rectangle length=50 width=25 depth=2", "2500 m³ is not the size of a home pool"),
]


def typed(text: str) -> dict[str, str]:
    return dict(pair.split("=") for pair in text.split())


@pytest.mark.parametrize(("name", "text", "why"), [*DANGEROUS, *HARDLY_MEANT])
def test_what_nobody_means_is_refused_with_what_to_do_instead(name: str, text: str, why: str) -> None:
    with pytest.raises(ComputationError) as caught:
        compute(name, typed(text), LIMITS, doubting=True)
    line = str(caught.value)
    assert line.startswith(f"{name}: ")
    assert why in line
    assert "; " in line
    assert "\n" not in line
    with pytest.raises(ComputationError, match=f"^{name}: "):
        compute_sections(name, [typed(text)], LIMITS, doubting=True)


@pytest.mark.parametrize(("name", "text"), [row[:2] for row in HARDLY_MEANT])
def test_whoever_really_means_it_gets_what_the_formula_gives(name: str, text: str) -> None:
    assert compute(name, typed(text)).results.items() <= compute(name, typed(text), LIMITS).results.items()


@pytest.mark.parametrize(("name", "text", "why"), DANGEROUS)
def test_meaning_it_does_not_make_a_dangerous_amount_safe(name: str, text: str, why: str) -> None:
    with pytest.raises(ComputationError, match=why):
        compute(name, typed(text), LIMITS)


@given(st.floats(0.1, 100), st.floats(0.1, 100))
def test_no_mix_is_told_that_is_stronger_than_ten_to_one(water: float, acid: float) -> None:
    """Ten parts of water to one of acid: common practice, no source."""
    given_text = {"strength": "30", "water": f"{water:.6f}", "acid": f"{acid:.6f}"}
    try:
        results = compute("acid-mix", given_text, LIMITS).results
    except ComputationError:
        assert water < 10 * acid * (1 + 1e-5)
    else:
        assert float(results["water_ml"] or 0) >= 10 * float(results["acid_ml"] or 0) * (1 - 1e-5)


@given(st.floats(3601, 15_000))
def test_water_is_swapped_no_more_than_a_third_at_a_time(now: float) -> None:
    """Step by step: after each swap of a share s, (1 - s) of the salt is left."""
    results = compute("dilute", {"volume": "50", "now": f"{now:.3f}", "target": "3600"}, LIMITS).results
    each = float(results["each_m3"] or 0) / 50
    assert each <= 1 / 3 + 1e-9
    assert float(np.prod(np.full(int(results["swaps"] or 0), 1 - each))) * now == pytest.approx(3600, rel=1e-5)


@pytest.mark.parametrize("name", CATALOGUE)
def test_every_example_is_within_the_limits(name: str) -> None:
    assert compute(name, typed(CATALOGUE[name].example), LIMITS, doubting=True).working


def numbers_of(name: str) -> list[tuple[str, float]]:
    """The numbers of an example, by key, in the unit of the key."""
    keys = {key.name: key for key in CATALOGUE[name].keys if not key.choices}
    given = typed(CATALOGUE[name].example)
    return [(key, float(read_value(keys[key], value) or 0)) for key, value in given.items() if key in keys]


MAY_BE_NEXT_TO_NOTHING = {("dilute", "fill"), ("chlorine-decay", "hours")}
"""Where a thousandth may well be meant: fill water without salt, a moment."""


@pytest.mark.parametrize(
    ("name", "key", "value"), [(name, key, value) for name in CATALOGUE for key, value in numbers_of(name)]
)
def test_a_number_that_is_a_thousand_times_off_is_never_taken_without_a_word(name: str, key: str, value: float) -> None:
    """Grams for kilograms, litres for cubic metres, millimetres, milliamps, ppm for g/L: slips by a thousand."""
    for factor in (1000, 0.001):
        if factor < 1 and (name, key) in MAY_BE_NEXT_TO_NOTHING:
            continue
        given_text = {**typed(CATALOGUE[name].example), key: f"{value * factor:.8f}"}
        with pytest.raises(ComputationError):
            compute(name, given_text, LIMITS, doubting=True)

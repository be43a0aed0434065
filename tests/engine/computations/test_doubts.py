"""What the limits of the knowledge refuse or doubt: absurd amounts are never worked out as a recipe."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.computations import CATALOGUE, ComputationError, compute, compute_sections
from tests.shipped import knowledge

LIMITS = knowledge().limits

DANGEROUS = [
    ("acid-mix", "strength=32 water=1 acid=10", "stronger than 1 to 10"),
    ("acid-mix", "strength=32 water=4", "stronger than 1 to 10"),
    ("chlorine-up", "volume=50 by=60 strength=12.5", "60 ppm of chlorine at once is more than 20 ppm"),
]
HARDLY_MEANT = [
    # Sea water holds about 35 g/L of salts (practical salinity 35); units for pools are made for 3 to 6 g/L.
    ("salt-dose", "volume=50 now=3000 target=35000", "target 35000 ppm is more than 6000 ppm"),
    ("salt-dose", "volume=3 now=3000 target=3500", "3 m³ is no household's pool"),
    ("salt-dose", "volume=30000 now=3000 target=3500", "30000 m³ is no household's pool"),
    ("stabiliser-up", "volume=30000 by=30", "30000 m³ is no household's pool"),
    ("acid-dose", "volume=50 ph=7.8 target=6 ta=110 cya=40 temp=25 salt=3200 hardness=300", "below pH 7"),
    ("dilute", "volume=50 now=35000 target=3600", "that is 90 % of the water"),
    # Ten metres by five, typed in centimetres as metres.
    ("pool-volume", "shape=rectangle length=1000 width=500 depth=1.5", "750000 m³ is no household's pool"),
]


def typed(text: str) -> dict[str, str]:
    return dict(pair.split("=") for pair in text.split())


@pytest.mark.parametrize(("name", "text", "why"), [*DANGEROUS, *HARDLY_MEANT])
def test_what_nobody_means_is_refused_with_what_to_do_instead(name: str, text: str, why: str) -> None:
    with pytest.raises(ComputationError) as caught:
        compute(name, typed(text), LIMITS)
    line = str(caught.value)
    assert line.startswith(f"{name}: ")
    assert why in line
    assert "; " in line
    assert "\n" not in line
    with pytest.raises(ComputationError, match=f"^{name}: "):
        compute_sections(name, [typed(text)], LIMITS)


@pytest.mark.parametrize(("name", "text"), [row[:2] for row in HARDLY_MEANT])
def test_whoever_is_sure_gets_what_the_formula_gives(name: str, text: str) -> None:
    assert compute(name, typed(text)).results.items() <= compute(name, typed(text), LIMITS, sure=True).results.items()


@pytest.mark.parametrize(("name", "text", "why"), DANGEROUS)
def test_being_sure_does_not_make_a_dangerous_amount_safe(name: str, text: str, why: str) -> None:
    with pytest.raises(ComputationError, match=why):
        compute(name, typed(text), LIMITS, sure=True)


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
    assert compute(name, typed(CATALOGUE[name].example), LIMITS).working

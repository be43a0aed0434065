"""What an answer speaks for, and how far it moves the odds."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.inference.speaking_for import decibans_moved, spoken_for
from tests.shipped import knowledge

SHARES = st.floats(0.001, 0.999)


# From I. J. Good's unit, the deciban: odds of 10 to 1 are 10 decibans from even ones, odds of 2 to 1 are 3.01.
@pytest.mark.parametrize(("before", "after", "decibans"), [(0.5, 10 / 11, 10.0), (0.5, 2 / 3, 3.0103), (0.5, 0.5, 0)])
def test_decibans_are_ten_times_the_logarithm_of_the_odds_moved(before: float, after: float, decibans: float) -> None:
    assert decibans_moved(before, after) == pytest.approx(decibans, abs=1e-4)


@given(SHARES, SHARES, SHARES)
def test_moves_one_after_the_other_add_up(first: float, second: float, third: float) -> None:
    both = decibans_moved(first, second) + decibans_moved(second, third)
    assert both == pytest.approx(decibans_moved(first, third), abs=1e-6)


def test_certainty_moves_by_a_figure_that_can_be_printed() -> None:
    assert 0 < decibans_moved(0.5, 1.0) < 100


def test_white_plates_speak_for_scale() -> None:
    """Common practice, no source: white crust on the plates is scale."""
    shipped = knowledge()
    tree, plates = shipped.trees["no-output"], shipped.checks["cell_plates"]
    assert spoken_for(shipped, tree, "cell_scaled", plates) == "white_scale"

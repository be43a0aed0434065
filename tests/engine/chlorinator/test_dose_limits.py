"""Swaps one after another against dilution worked step by step with numpy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.chlorinator.dose_limits import swaps_for

SHARES = st.floats(0.01, 0.99)


@given(SHARES, st.floats(0.05, 0.5))
def test_swaps_thin_as_much_as_one_of_the_whole_share(share: float, at_once: float) -> None:
    swaps = swaps_for(share, at_once)
    assert 0 < swaps.each <= at_once + 1e-9
    assert np.prod(np.full(swaps.times, 1 - swaps.each)) == pytest.approx(1 - share)
    if swaps.times > 1:
        assert np.prod(np.full(swaps.times - 1, 1 - at_once)) > 1 - share


@pytest.mark.parametrize(("share", "times"), [(0.2, 1), (1 / 3, 1), (0.34, 2), (5 / 9, 2), (0.6, 3), (19 / 27, 3)])
def test_thirds_by_hand(share: float, times: int) -> None:
    """What is left after one, two and three thirds: 2/3, 4/9 and 8/27."""
    assert swaps_for(share, 1 / 3).times == times


@pytest.mark.parametrize(("share", "at_once"), [(0.0, 0.3), (1.0, 0.3), (0.5, 0.0), (0.5, 1.0), (float("nan"), 0.3)])
def test_no_share_is_refused(share: float, at_once: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        swaps_for(share, at_once)

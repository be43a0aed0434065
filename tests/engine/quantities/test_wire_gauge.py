"""The American wire gauge: areas as tables of bare wire give them, and the law that makes the table."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.quantities.quantity import read_quantity
from engine.quantities.wire_gauge import gauge_area_mm2


# Tables of bare copper wire by ASTM B258, to four figures, in mm² (from memory).
@pytest.mark.parametrize(
    ("typed", "area"),
    [("10awg", 5.261), ("AWG 12", 3.309), ("#14", 2.081), ("0 awg", 53.49), ("4/0 AWG", 107.2), ("0000 gauge", 107.2)],
)
def test_the_area_is_that_of_the_table(typed: str, area: float) -> None:
    assert read_quantity(typed, "mm²").value == pytest.approx(area, rel=5e-4)


@given(st.integers(0, 34))
def test_six_numbers_more_are_half_as_far_across(number: int) -> None:
    """92 to the power of 6/39 is 2.005: the rule of thumb of the trade, half the diameter, a quarter of the area."""
    thick, thin = gauge_area_mm2(f"{number} awg"), gauge_area_mm2(f"{number + 6} awg")
    assert thick is not None
    assert thin is not None
    assert thick / thin == pytest.approx(4.02, rel=1e-3)


@pytest.mark.parametrize("typed", ["41 awg", "5/0 awg", "00000 awg", "10", "10 mm²", "awg"])
def test_what_is_no_gauge_is_none(typed: str) -> None:
    assert gauge_area_mm2(typed) is None

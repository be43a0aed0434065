"""Salt from a conductivity meter, against gsw; what is missing or cannot be is said."""

from __future__ import annotations

import contextlib

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.chlorinator.limits import RangeError
from engine.findings.salt_from_conductivity import meter_typed, salt_reading
from engine.quantities.quantity import QuantityError


@given(st.floats(0.5, 40), st.floats(0, 34.9))
def test_salt_is_a_thousand_times_the_oceanographers_salinity(conductivity: float, temperature: float) -> None:
    """gsw.SP_from_C, the reference implementation of PSS-78; kept to 10 ppm, as it is good to 5 %."""
    salinity = float(gsw.SP_from_C(conductivity, temperature, 0))
    if 0 < salinity < 41.9:
        reading = salt_reading(conductivity, temperature)
        assert reading.value == pytest.approx(1000 * salinity, abs=6, rel=0.001)
        assert "PSS-78" in reading.by


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("6.5 mS/cm", (6.5, None)),
        ("6500 µS/cm", (6.5, None)),
        ("0.65 S/m", (6.5, None)),
        ("6,5 mS/cm at 25 °C", (6.5, 25.0)),
        ("6.5mS/cm, 77F", (6.5, 25.0)),
        ("6.5 ms/cm @ 25", (6.5, 25.0)),
        ("6.5 mS/cm at -1", (6.5, -1.0)),
        ("3200", None),
        ("3.2 g/L", None),
        ("3200 ppm", None),
    ],
)
def test_a_conductivity_is_told_from_a_salt(typed: str, found: tuple[float, float | None] | None) -> None:
    assert meter_typed(typed) == found


@pytest.mark.parametrize("typed", ["mS/cm", "salt mS/cm", "6.5 mS/cm at cold", "6.5 mS/cm at 25 V"])
def test_half_a_conductivity_says_what_to_write(typed: str) -> None:
    with pytest.raises(QuantityError) as refused:
        meter_typed(typed)
    assert "write" in refused.value.instead


def test_without_a_temperature_there_is_no_salt() -> None:
    with pytest.raises(QuantityError, match=r"only with the water temperature; type both, such as 6\.5 mS/cm at"):
        salt_reading(6.5, None)
    with pytest.raises(RangeError, match="40 °C is outside the formula's range: -2 to 35 °C"):
        salt_reading(6.5, 40.0)


@given(st.one_of(st.text(max_size=30), st.text(max_size=12).map(lambda text: f"6.5 mS/cm{text}")))
def test_anything_typed_is_a_pair_or_none_or_a_reason(typed: str) -> None:
    with contextlib.suppress(QuantityError):
        meter = meter_typed(typed)
        assert meter is None or meter[0] >= 0

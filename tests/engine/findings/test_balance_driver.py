"""Which test puts the water out of balance: hand-made waters of the trade, and laws."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.findings.evidence import Observation, derived
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
FINDING = KNOWLEDGE.findings["balance_driver"]


def drivers(**numbers: float) -> dict[str, float]:
    found = derived(FINDING, KNOWLEDGE, KNOWLEDGE.units["default"], {n: Observation(v) for n, v in numbers.items()})
    assert found is not None
    return dict(zip((answer.id for answer in FINDING.answers), found.weights, strict=True))


@pytest.mark.parametrize(
    ("ph", "alkalinity", "hardness", "driver"),
    [
        (7.5, 90, 230, "none"),
        (8.3, 90, 230, "ph"),
        # Water in air comes to rest at a pH that rises with its alkalinity, so the alkalinity is the driver of both.
        (8.3, 220, 230, "alkalinity"),
        (7.6, 220, 230, "alkalinity"),
        (7.6, 90, 700, "hardness"),
        (8.2, 90, 700, "hardness"),
        (7.0, 30, 60, "low"),
    ],
)
def test_waters_whose_trouble_is_plain(ph: float, alkalinity: float, hardness: float, driver: str) -> None:
    """Ranges of 7.2 to 7.8, 60 to 130 and 150 to 350: common practice, no source, and Montana ARM for the pH."""
    assert drivers(ph=ph, alkalinity=alkalinity, hardness=hardness)[driver] > 0.8


@given(st.floats(6.5, 8.4), st.floats(20, 400), st.floats(20, 1500))
def test_the_shares_are_shares(ph: float, alkalinity: float, hardness: float) -> None:
    shares = drivers(ph=ph, alkalinity=alkalinity, hardness=hardness)
    assert min(shares.values()) >= 0.0
    assert sum(shares.values()) == pytest.approx(1.0)


def test_nothing_is_said_without_all_three_tests_nor_outside_the_formula() -> None:
    unit = KNOWLEDGE.units["default"]
    assert derived(FINDING, KNOWLEDGE, unit, {"ph": Observation(8.0), "alkalinity": Observation(100.0)}) is None
    beyond = {"ph": Observation(9.5), "alkalinity": Observation(100.0), "hardness": Observation(200.0)}
    assert derived(FINDING, KNOWLEDGE, unit, beyond) is None

"""Findings from a pool's record: worked by hand, and that they move what they should."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.findings.evidence import figure_of
from engine.findings.salt_loss import loss_ppm_month
from engine.session.session import Session
from tests.interview.people import opened
from tests.shipped import knowledge, models


def loss(**numbers: float) -> dict[str, float]:
    """The figure behind `salt_loss`."""
    known = knowledge()
    return dict(figure_of(known.findings["salt_loss"], known, known.units["default"], numbers))


@given(before=st.floats(500, 6000), lost=st.floats(0, 800), months=st.floats(1, 12))
def test_the_loss_is_what_went_missing_by_the_months(before: float, lost: float, months: float) -> None:
    assert loss_ppm_month(before, before - lost * months, months) == pytest.approx(lost, abs=1e-6)


def test_a_pool_worked_by_hand() -> None:
    """3400 ppm then and 2200 ppm two months later: 600 ppm a month."""
    found = loss(salt_then=3400.0, months_since_salt_test=2.0, tested_salt=2200.0)
    assert found == {"loss": pytest.approx(600.0)}


def test_a_test_of_the_same_week_tells_no_loss() -> None:
    assert loss(salt_then=3400.0, months_since_salt_test=0.1, tested_salt=2200.0) == {}


def chances(complaint: str, **said: str | float) -> dict[str, float]:
    """P(cause) of a job in the field in which this was said."""
    start = (("role", "field"), ("danger_now", "none"), ("unit", "default"), ("complaint", complaint))
    return opened(Session(models()), *start, *said.items()).marginals()


def test_salt_that_goes_fast_speaks_for_a_leak_at_the_unions() -> None:
    lost = {"tested_salt": 2200.0, "salt_then": 3400.0}
    fast = chances("low-salt", **lost, months_since_salt_test=2.0)
    slow = chances("low-salt", **lost, months_since_salt_test=11.0)
    assert fast["union_oring_worn"] > 2 * slow["union_oring_worn"]


def test_scale_that_was_found_here_before_makes_scale_likelier() -> None:
    never, again = (chances("no-output", scale_before=said)["cell_scaled"] for said in ("not_found", "again"))
    assert again > 1.5 * never


def test_a_current_that_never_was_better_is_hardly_wear() -> None:
    falling = chances("no-output", cell_current=4.0, current_then=7.0)
    steady = chances("no-output", cell_current=4.0, current_then=4.1)
    assert steady["cell_worn"] < falling["cell_worn"]

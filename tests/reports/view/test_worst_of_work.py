"""The worst that a work can do stands where its page opens, and what may not run meanwhile is left off."""

from __future__ import annotations

import pytest

from engine.session.journal import Event
from tests.reports.jobs import AT, answers, opened
from tests.reports.view.test_build import view
from tests.shipped import knowledge


@pytest.mark.parametrize(
    ("complaint", "found", "caution"),
    [
        ("flow-fault", {"pump_running": "running", "valves": "moved_or_part_closed"}, "keep_suction_open"),
        (
            "water-not-right",
            {"ph": 8.2, "pool_volume": 50.0, "alkalinity": 100.0, "stabiliser": 40.0},
            "acid_never_with_chlorine",
        ),
        (
            "no-output",
            {"free_chlorine": 0.2, "water_look": "green", "bather_load": "storm"},
            "acid_never_with_chlorine",
        ),
    ],
)
def test_a_page_opens_with_the_worst_that_its_work_can_do(
    complaint: str, found: dict[str, str | float], caution: str
) -> None:
    """Which caution goes with which work: common practice, no source."""
    seen = view(*opened("phone", complaint), *answers(**found))
    assert knowledge().cautions[caution].in_short.customer in seen.advice.hands_off
    technicians = view(*opened("phone", complaint), *answers(**found), Event("closed", AT, value="send_technician"))
    assert knowledge().cautions[caution].in_short.customer not in technicians.advice.hands_off


def test_a_unit_that_cannot_be_turned_down_is_left_off_until_its_part_is_there() -> None:
    found: dict[str, str | float] = {"free_chlorine": 12.0, "output_setting": 0.0}
    found |= {"makes_at_zero": "goes_on", "cell_current": 18.9}
    seen = view(*opened("field", "too-much-chlorine"), *answers(**found), Event("closed", AT, value="order_and_return"))
    assert seen.actions[0].repair == "mend_output"
    assert any(line.startswith("Unit off and locked") for line in seen.advice.meanwhile)

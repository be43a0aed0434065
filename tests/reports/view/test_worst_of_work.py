"""The worst that a work can do stands where its page opens, and what may not run meanwhile is left off."""

from __future__ import annotations

import re

import pytest

from engine.session.journal import Event
from reports.renderers.text import text_form
from reports.sheets.customer import customer_handout
from tests.reports.jobs import AT, answers, opened
from tests.reports.view.test_build import view
from tests.shipped import knowledge


@pytest.mark.parametrize(
    ("complaint", "found", "told"),
    [
        ("flow-fault", {"pump_running": "running", "valves": "moved_or_part_closed"}, r"Never .*(pump on|one drain)"),
        (
            "water-not-right",
            {"ph": 8.2, "pool_volume": 50.0, "alkalinity": 100.0, "stabiliser": 40.0},
            r"Never .*acid and chlorine",
        ),
        (
            "no-output",
            {"free_chlorine": 0.2, "water_look": "green", "bather_load": "storm"},
            r"Never .*acid or another kind of chlorine",
        ),
    ],
)
def test_a_page_opens_with_the_one_thing_that_nobody_may_do_in_its_work(
    complaint: str, found: dict[str, str | float], told: str
) -> None:
    """What people are tempted to do wrong in which work: common practice, no source."""
    seen = view(*opened("phone", complaint), *answers(**found))
    assert re.search(told, " ".join(seen.advice.answers[:1]))
    document = customer_handout(seen)
    text = text_form((document,))
    assert " ".join(text.split()).index(seen.advice.answers[0]) < " ".join(text.split()).index("What is wrong")


def test_every_work_says_to_both_readers_what_nobody_may_do_in_it() -> None:
    lacking = [
        (repair.id, reader)
        for repair in knowledge().repairs.values()
        for reader in ("customer", "technician")
        if not getattr(repair.never, reader)
    ]
    assert lacking == []


def test_a_unit_that_cannot_be_turned_down_is_left_off_until_its_part_is_there() -> None:
    found: dict[str, str | float] = {"free_chlorine": 12.0, "output_setting": 0.0}
    found |= {"makes_at_zero": "goes_on", "cell_current": 18.9}
    seen = view(*opened("field", "too-much-chlorine"), *answers(**found), Event("closed", AT, value="order_and_return"))
    assert seen.actions[0].repair == "mend_output"
    assert any(line.startswith("Unit off and locked") for line in seen.advice.meanwhile)

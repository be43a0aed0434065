"""What is left after a repair that helped: the other fault, and water that is not right, on all three papers."""

from __future__ import annotations

import pytest

from engine.session.journal import Event
from reports.renderers.text import text_form
from reports.sheets.choose import sheets
from reports.view import job_view
from reports.view.model import JobView
from tests.reports.jobs import AT, DATE, answers, called, job, opened
from tests.reports.test_golden_sheets import SHEETS
from tests.shipped import as_if_shipped, knowledge

TWO = "cell in a bucket and a bottle of pool water"
"""A call of two faults: scaled plates, and too little salt."""


def mended(repair: str, call: str = TWO, **as_left: str | float) -> list[Event]:
    """A worked call whose repair was done and helped; what was read after it."""
    done = [Event("repaired", AT, about=repair, value="done"), *answers(**as_left)]
    return [*called(call).events, *done, Event("verified", AT, about=repair, value="helped")]


def view(*events: Event) -> JobView:
    return job_view(job(*events), DATE)


def test_of_two_faults_the_one_that_is_left_stands_on_all_three_papers_and_nothing_is_called_mended() -> None:
    session = job(*mended("acid_clean"))
    for reader in ("customer", "shop", "technician"):
        text = " ".join(text_form(sheets(session, DATE, reader), 80).split())
        assert "2550 ppm" in text, reader
        assert "It has been repaired" not in text
    handout = text_form(sheets(session, DATE, "customer"), 80)
    assert handout.index("WHAT WAS DONE") < handout.index("acid") < handout.index("STILL TO DO") < handout.index("salt")


def test_what_was_read_again_and_is_right_is_left_no_more() -> None:
    seen = view(*mended("acid_clean", tested_salt=3500.0, salt_added="no"))
    assert seen.advice.water == ()
    assert seen.decision.title == "It has been repaired"


def test_what_the_repair_put_in_is_not_asked_for_again_unless_a_new_test_still_lacks_it() -> None:
    assert not any("salt" in line for line in view(*mended("add_salt")).advice.water)
    assert any("2500 ppm" in line for line in view(*mended("add_salt", tested_salt=2500.0)).advice.water)


def test_a_second_fault_that_is_none_of_the_water_is_left_too() -> None:
    seen = view(*mended("add_salt", tested_salt=3500.0))
    clean = as_if_shipped().knowledge.repairs["acid_clean"].wording.customer.rstrip(".")
    assert any(clean in line for line in seen.advice.water)
    assert view(*SHEETS["repaired-field"]().events).advice.water == ()


@pytest.mark.parametrize("check", ["ph", "alkalinity", "hardness"])
def test_a_test_at_either_end_of_the_range_that_is_told_is_within_it(check: str) -> None:
    """pH 7.2 to 7.8: Montana ARM 37.115.1308, both ends within; of the others common practice, no source."""
    low, high = (band.under.share for band in knowledge().checks[check].bands[:2] if band.under is not None)

    def told(value: float) -> tuple[str, ...]:
        return view(*opened("field", "no-output"), *answers(**{check: value})).advice.water

    assert told(low) == told(high) == ()
    assert told(low - 0.1)
    assert told(high + 0.1)

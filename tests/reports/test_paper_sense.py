"""A wet pack behind a device that trips again is mended on no paper at once; the laws of sense find what is wrong."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import pytest

from reports.document import Audience, Work
from reports.renderers.text import text_form
from reports.sheets.choose import view_for
from reports.sheets.technician import technician_sheet
from tests.benchmarks.papers import PAPERS
from tests.paper_sense import words_without_sense, works_without_an_end
from tests.reports.jobs import DATE, answers, job, opened

WET_AND_TRIPS = job(*opened("field", "supply-fault"), *answers(breaker="trips_again", pack_inside="wet_or_insects"))


@pytest.mark.parametrize("reader", get_args(Audience))
def test_an_electrician_comes_before_power_and_bathers(reader: Audience) -> None:
    """Clear the pool, power off, licensed electrician before anything else: common practice, no source."""
    view = view_for(WET_AND_TRIPS, DATE, reader)
    text = text_form((PAPERS[reader](view),))
    assert view.keep_away
    assert list(words_without_sense(view, WET_AND_TRIPS, reader, text)) == []


def test_mended_on_the_spot_and_words_of_the_counter_are_found() -> None:
    view = view_for(WET_AND_TRIPS, DATE, "customer")
    found = list(words_without_sense(view, WET_AND_TRIPS, "customer", "The technician mends it on this visit."))
    assert len(found) == 2
    phoned = job(*opened("phone", "low-salt"), *answers(tested_salt=2000))
    said = list(words_without_sense(view_for(phoned, DATE, "shop"), phoned, "shop", "Hand over the page."))
    assert "words of the counter on the phone: Hand over" in said


def test_a_work_that_says_nowhere_who_unlocks_is_found() -> None:
    view = view_for(WET_AND_TRIPS, DATE, "technician")
    blocks = technician_sheet(view).blocks
    assert list(works_without_an_end(blocks, view)) == []
    bare = [replace(each, steps=each.steps[-1:]) if isinstance(each, Work) else each for each in blocks]
    assert any("power back" in found for found in works_without_an_end(bare, view))

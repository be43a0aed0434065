"""What the clerk is told to say: the one thing to do, and what to keep the customer from, by the shipped calls."""

from __future__ import annotations

import re

import pytest

from reports.document import Audience
from reports.renderers.text import text_form
from reports.sheets.choose import sheets_of
from reports.view.model import JobView
from tests.laws.test_papers import calls, papers, seen


def paper(call: str, reader: Audience) -> tuple[str, JobView]:
    """A worked call's paper in one line, and the view it is from."""
    found = seen(next(each for each in calls() if each.name == call), reader)
    return " ".join(text_form(sheets_of(found[2], found[1].job.role, found[3]), 80).split()), found[2]


@pytest.mark.parametrize(
    ("call", "said"),
    [
        ("husband and wife each put the spring bags in", "replace part of the pool water"),
        ("home meter 5900, shop says otherwise", "before you change anything"),
        ("weighed the salt, bottle filled at breakfast", "No salt today"),
        ("asks for a big pipe wrench for the nut", "Do not tighten it"),
    ],
)
def test_the_clerk_says_the_one_thing_that_the_customers_page_says_first(call: str, said: str) -> None:
    assert said in paper(call, "shop")[0]


@pytest.mark.e2e
@pytest.mark.no_cover  # hundreds of papers through branches that the kept sheets take too
def test_no_paper_of_the_shop_points_to_steps_or_a_sheet_that_the_clerk_does_not_have() -> None:
    for name, session, view, reader in papers():
        if reader == "shop":
            text = text_form(sheets_of(view, session.job.role, reader), 80)
            assert "this sheet" not in view.decision.shop.replace("sizes on this sheet", ""), name
            assert "what to pack stands" not in text, name


def test_one_order_about_the_pump_stands_on_a_page() -> None:
    cracked, _ = paper("asks for a big pipe wrench for the nut", "customer")
    assert "Unit and pump off until then" in cracked
    bring, _ = paper("two bags later it still wants salt", "customer")
    assert "pump only with the spacer pipe in" in bring
    assert not any("as usual" in text for text in (cracked, bring))


def test_who_waits_with_an_untested_pool_is_told_at_the_head_from_when_on_they_may_swim() -> None:
    """One limit, and no other sentence that reads as if a test alone were enough."""
    text, view = paper("screen shows minus fifteen, the children are swimming", "customer")
    assert view.advice.bathing in text[: text.index("1.")]
    assert not re.search(r"until .{0,20}been tested", text)


def test_power_is_off_before_anything_that_needs_it_off() -> None:
    for name in ("drips since the cell was cleaned on Saturday", "gurgling skimmer after the heat"):
        _, view = paper(name, "customer")
        assert "switch off and lock the power" in view.actions[0].steps[0].lower(), name


def test_a_better_test_beside_the_one_in_doubt_is_told_with_its_figure() -> None:
    text, _ = paper("strips show nothing, bench disagrees", "customer")
    assert "Go by the better test, which shows 2.5 ppm of chlorine." in text

"""What a sheet says where nothing here pays, of what was not looked at after a repair, and of much stabiliser."""

from __future__ import annotations

import dataclasses

import pytest

from engine.session.acts import Act
from engine.session.journal import Event
from reports.document import Paragraph
from reports.sheets.technician import technician_sheet
from reports.view import job_view
from reports.view.case import case_of
from reports.view.model import JobView
from reports.view.work import not_read_again
from tests.reports.jobs import AT, DATE, answers, job, opened
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
NOTHING_PAYS = Act("conclude", "other_trade", why="no_check_pays")
CLEANED = [
    *opened("field", "low-salt"),
    *answers(tested_salt=3350.0, unit_salt=2450.0, cell_plates="white_scale", cell_current=11.5),
    Event("repaired", AT, about="acid_clean", value="done"),
]
HELPED = Event("verified", AT, about="acid_clean", value="helped")


def handed_on(**found: str | float) -> JobView:
    return job_view(job(*opened("field", "no-output"), *answers(**found)), DATE, act=NOTHING_PAYS)


@pytest.mark.parametrize(
    ("found", "whom"),
    [
        (
            {"cell_bubbles": "none", "cell_plates": "coating_worn", "salt_gap": "reads_low"},
            "the manufacturer's support",
        ),
        ({"water_look": "green", "combined_chlorine": 2.0, "overnight_loss": 3.0}, "a pool water laboratory"),
    ],
)
def test_where_nothing_pays_the_sheet_says_so_and_whom_to_ask(found: dict[str, str | float], whom: str) -> None:
    known = {check: value for check, value in found.items() if check in KNOWLEDGE.checks}
    seen = handed_on(**known)
    assert "trade" not in seen.decision.title
    (line,) = (why for why in seen.decision.why if why.startswith("Ask next"))
    assert whom in line
    assert any(line == block.text for block in technician_sheet(seen).blocks if isinstance(block, Paragraph))


def test_another_trade_with_work_of_its_own_is_named_as_before() -> None:
    act = Act("conclude", "other_trade", repair="restore_supply", why="settled")
    seen = job_view(job(*opened("field", "supply-fault"), *answers(unit_power="dark")), DATE, act=act)
    # Current may reach the water there: who is named comes before anybody else.
    assert "licensed electrician" in seen.decision.title
    assert not [why for why in seen.decision.why if why.startswith("Ask next")]


def test_what_nobody_looked_at_after_a_repair_is_named_and_what_was_read_is_not() -> None:
    unread = job_view(job(*CLEANED, HELPED), DATE)
    read = job_view(job(*CLEANED, *answers(cell_current=18.4), HELPED), DATE)
    name = "DC amps to the cell"
    assert KNOWLEDGE.checks["cell_current"].wording.technician == name
    assert any("before leaving" in line and name in line for line in unread.advice.come_back)
    assert not any(name in line for line in read.advice.come_back)


def test_only_what_shows_something_is_owed_after_a_repair() -> None:
    """Nobody can read off the cell again how many months ago it was cleaned; a unit without figures shows no salt."""
    case = case_of(job(*CLEANED, HELPED), DATE, None)
    owed = {check.id for check in not_read_again(case)}
    assert {"cell_current", "cell_voltage", "unit_salt"} <= owed
    assert not owed & {"months_since_clean", "cell_plates"}
    silent = [dataclasses.replace(e, value="tells_little") if e.about == "unit" else e for e in CLEANED]
    assert "unit_salt" not in {check.id for check in not_read_again(case_of(job(*silent, HELPED), DATE, None))}


def about_stabiliser(stabiliser_ppm: float) -> list[str]:
    seen = handed_on(stabiliser=stabiliser_ppm, free_chlorine=0.2, ph=7.5)
    return [line for line in seen.advice.meanwhile if line.startswith("Stabiliser") and line not in seen.advice.water]


def test_much_stabiliser_brings_a_chlorine_to_hold_and_what_lowers_it() -> None:
    """At most 20 to 1 of free chlorine, Falk and others 2019 (from memory); that only dilution lowers it, practice."""
    assert about_stabiliser(18.0) == []
    (line,) = about_stabiliser(45.0)
    assert "2.5 ppm" in line
    (line,) = about_stabiliser(75.0)
    assert "4 ppm" in line
    assert "dilution" not in line
    (line,) = about_stabiliser(95.0)
    assert "5 ppm" in line
    assert "dilution" in line
    (line,) = about_stabiliser(150.0)
    assert "7.5 ppm" in line
    assert "dilute first" in line

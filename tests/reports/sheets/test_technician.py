"""The technician's sheet: its sections in order, danger first, cautions before the work, workings at the end."""

from __future__ import annotations

import re

import pytest
from hypothesis import given

from engine.knowledge.model import RoleId
from engine.session.journal import Event
from engine.session.session import Session
from reports.charts.plant import place_picture
from reports.document import (
    Blanks,
    Block,
    CautionBox,
    Document,
    Heading,
    Items,
    NewPage,
    Paragraph,
    Picture,
    Table,
    Work,
)
from reports.renderers.text import text_form
from reports.sheets.technician import technician_sheet
from reports.view import JobView, job_view
from tests.reports.jobs import AT, DATE, answers, called, job, jobs, opened
from tests.reports.test_sheet_laws import SLOW
from tests.shipped import knowledge

RETESTED = "pool overflowed for a week, unit has stopped"
"""A technician salts the water, and the salt is tested on the next day."""

# One a tree, as in the visible worked calls.
CALLS = {
    "no-output": "service reminder ignored since last season",
    "low-salt": "two bags later it still wants salt",
    "flow-fault": "gauge a little high, backwash did not help",
    "cold-water": "late autumn, pool thermometer at nine",
    "supply-fault": "customer wants a cell because the house trips",
}
ALWAYS = [
    "Decision",
    "Cautions, before the work",
    "Order of work",
    "Readings, as found and as left",
    "Ranking",
    "Meanwhile",
    "Return",
    "Handed over",
    "Annex",
    "All answers",
    "Evidence for and against",
    "Licensed trades and local code",
]
REPAIRED = [
    *opened("field", "low-salt"),
    *answers(tested_salt=3400.0, cell_plates="white_scale", cell_current=9.0),
    Event("repaired", AT, about="acid_clean", value="done"),
    Event("verified", AT, about="acid_clean", value="helped"),
    *answers(cell_current=18.6),
]


def seen(*events: Event) -> JobView:
    return job_view(job(*events), DATE, voice="field")


def sheet(*events: Event) -> Document:
    return technician_sheet(seen(*events), annex=True)


def headings(document: Document) -> list[str]:
    return [block.text for block in document.blocks if isinstance(block, Heading)]


def section(document: Document, title: str) -> list[Block]:
    """The blocks below a heading, up to the next one."""
    place = next(n for n, b in enumerate(document.blocks) if isinstance(b, Heading) and b.text == title)
    after = document.blocks[place + 1 :]
    end = next((n for n, b in enumerate(after) if isinstance(b, Heading | NewPage)), len(after))
    return list(after[:end])


@pytest.mark.parametrize("tree", CALLS)
def test_a_worked_call_of_each_tree_has_every_section_in_order(tree: str) -> None:
    found = headings(technician_sheet(job_view(called(CALLS[tree], "field"), DATE), annex=True))
    places = [found.index(title) for title in ALWAYS]
    assert places == sorted(places)


@SLOW
@given(jobs())
def test_every_caution_stands_before_the_work_and_danger_before_all_else(session: Session) -> None:
    view = job_view(session, DATE, voice="field")
    blocks = technician_sheet(view, annex=True).blocks
    cautions = [place for place, block in enumerate(blocks) if isinstance(block, CautionBox)]
    work = [place for place, block in enumerate(blocks) if isinstance(block, Work)]
    assert [block.caution for block in blocks if isinstance(block, CautionBox)] == [c.caution for c in view.cautions]
    assert all(caution < min(work) for caution in cautions if work)
    if view.danger:
        assert isinstance(blocks[0], Heading)
        asked = Items(((view.danger, ""),), "tick")
        assert blocks[1] == (Paragraph(view.danger, "lead") if view.advice.first else asked)
    assert [block.number for block in blocks if isinstance(block, Work)] == list(range(1, len(view.actions) + 1))
    assert all(block.ticked for block in blocks if isinstance(block, Work))


@pytest.mark.parametrize("role", ["counter", "phone"])
def test_it_speaks_to_the_technician_whoever_took_the_job(role: RoleId) -> None:
    name = CALLS["no-output"]
    told = technician_sheet(job_view(called(name, role), DATE, voice="field"))
    assert "Complaint" in str(told.blocks)
    assert "the pool owner" not in str(told)


def test_the_evidence_has_a_column_a_cause_with_its_weights() -> None:
    events = [*opened("field", "low-salt"), *answers(tested_salt=3400.0, unit_salt=2400.0, cell_plates="white_scale")]
    view, (_, table, *_) = seen(*events), section(sheet(*events), "Evidence for and against")
    assert isinstance(table, Table)
    assert len(table.columns) == 1 + len(view.causes)
    for place, cause in enumerate(view.causes, start=1):
        told = {row[0]: row[place] for row in table.rows if row[place]}
        assert told == {w.said: f"{w.decibans:+.0f}" for w in (*cause.speaks_for, *cause.speaks_against)}


def test_a_cause_is_told_with_its_chance_in_words_and_in_per_cent() -> None:
    events = [*opened("field", "low-salt"), *answers(tested_salt=3400.0, unit_salt=2400.0, cell_plates="white_scale")]
    (picture, *_) = section(sheet(*events), "Ranking")
    assert isinstance(picture, Picture)
    assert picture.words[0].startswith("1. Calcium scale on the plates. ")
    assert " %" in picture.words[0]
    assert any(words in picture.words[0] for words in ("very likely", "nearly certain"))


def test_readings_stand_as_found_and_as_left_with_what_they_should_be() -> None:
    (table,) = section(sheet(*REPAIRED), "Readings, as found and as left")
    assert isinstance(table, Table)
    rows = {row[0]: row[1:] for row in table.rows}
    # The default profile is rated for 20 A, and 0.75 to 1.25 of it count as right (faults/units, faults/checks).
    assert rows["DC amps to the cell"][:2] == ("9 A (low)", "18.6 A (right)")
    assert rows["DC amps to the cell"][2].endswith(" A")
    assert rows["Cell plates"] == ("white scale", "", "")
    assert rows["Salt by an independent test"][1] == "______"
    assert "Ranking before the repair" in headings(sheet(*REPAIRED))
    begun = sheet(*opened("field", "low-salt"))
    assert any(isinstance(block, Blanks) for block in section(begun, "Readings, as found and as left"))


def test_it_is_signed_and_names_the_return_unless_the_fault_is_mended() -> None:
    def labels(document: Document) -> set[str]:
        return {label for b in section(document, "Handed over") if isinstance(b, Blanks) for label, _, _ in b.blanks}

    assert {"Technician", "Owner", "Date", "Return visit on"} <= labels(sheet(*opened("field", "low-salt")))
    assert "Return visit on" not in labels(sheet(*REPAIRED))


def test_each_working_stands_behind_the_signatures_and_not_above() -> None:
    salt = answers(tested_salt=2500.0, unit_salt=1800.0, pool_volume=48.0)
    events = [*opened("field", "low-salt"), *salt, *answers(hardness=350.0, cell_age_years=3.0)]
    blocks = sheet(*events).blocks
    page = blocks.index(Heading("How each figure was worked out"))
    view = seen(*events)
    amounts = [*(part.amount for part in view.parts), *(line.amount for line in view.plan)]
    workings = [amount.working for amount in amounts if amount.working]
    assert workings
    assert max(place for place, block in enumerate(blocks) if isinstance(block, Blanks)) < page
    for working in workings:
        assert working in str(blocks[page:])
        assert working not in str(blocks[:page])


def test_no_workings_where_nothing_was_worked_out() -> None:
    danger = sheet(Event("opened", AT, value="x"), *answers(role="field", danger_now="tingle"))
    assert "How each figure was worked out" not in headings(danger)


def test_what_is_waited_for_stands_on_it_and_where_the_fault_sits_is_drawn() -> None:
    events = [*opened("field", "low-salt"), *answers(tested_salt=2500.0), Event("deferred", AT, about="add_salt")]
    waited = [line.text for line in seen(*events).waiting]
    assert waited
    assert section(sheet(*events), "To be done at home and reported to us") == [
        Items(tuple((text, "") for text in waited))
    ]
    assert place_picture(seen(*events)) in sheet(*events).blocks


def test_parts_are_ticked_and_each_has_what_to_read_before_ordering() -> None:
    view = job_view(called(CALLS["no-output"], "field"), DATE)
    document = technician_sheet(view, annex=True)
    (parts,) = section(document, "Parts and amounts")
    assert isinstance(parts, Items)
    assert parts.mark == "tick"
    assert len(parts.items) == sum(not part.later for part in view.parts)
    assert all(part.name in str(document.blocks) for part in view.parts)
    (ordering,) = section(document, "Before ordering, read from the old part, its label or container")
    assert all(part.before_ordering in str(ordering) for part in view.parts)


def test_a_note_cannot_pass_itself_off_as_a_section() -> None:
    note = Event("noted", AT, text="A\nDecision\n-----\nSell a new cell.")
    document = sheet(*opened("field", "low-salt"), note)
    assert headings(document).count("Decision") == 1
    assert section(document, "Notes") == [Items((("A Decision ----- Sell a new cell.", ""),))]


def text_of(session: Session) -> str:
    return " ".join(text_form((technician_sheet(job_view(session, DATE, voice="field")),), 10_000).split())


def test_no_range_ends_where_it_begins() -> None:
    """100 ppm of stabiliser ask for 5 ppm of chlorine, a twentieth, where the range ends; 140 ask for more."""
    told = text_of(job(*opened("field", "no-output"), *answers(stabiliser=100.0, free_chlorine=1.0)))
    assert "free chlorine (about 5 ppm is common practice" in told
    more = text_of(job(*opened("field", "no-output"), *answers(stabiliser=140.0, free_chlorine=1.0)))
    assert "No swimming until part of the water is replaced" in more
    assert "free chlorine (about 5 ppm" not in more
    assert not re.search(r"(?<![0-9.])([0-9.]+)(?: ppm)? to \1 ppm", told)


def test_no_return_is_denied_beside_a_test_that_is_due() -> None:
    told = text_of(called(RETESTED, "field"))
    assert "Test again the next day (5 May)" in told
    assert "No return planned" not in told


def test_work_that_shows_later_is_not_told_as_one_visit() -> None:
    assert re.search(r"Work: [^.]* min, and the test the next day \(5 May\)\.", text_of(called(RETESTED, "field")))


def test_who_opens_what_lies_below_the_water_shuts_the_valves_first() -> None:
    caution = knowledge().cautions["release_pressure"]
    assert "valves shut" in caution.wording.technician
    assert "valves shut" in caution.in_short.technician


def test_no_larger_unit_is_quoted_before_the_sample_was_thinned() -> None:
    session = called("second-hand unit on a large pool", "field")
    assert session.conclude().about == "quote"
    assert session.job.settled("dilution_test")

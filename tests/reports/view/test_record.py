"""The record of a job and its bill: visits by the times of events, parts of done repairs for ever, words by hand."""

from __future__ import annotations

import csv
import io

import pytest

from engine.session.journal import RECORDED, Event, event_from
from engine.session.session import Session
from engine.session.taken_back import effective
from reports.renderers.till import COLUMNS, till_form
from reports.sheets.choose import sheets, view_for
from reports.view.bill import Record
from tests import shipped
from tests.reports.jobs import AT, DATE, answers, job, opened

DONE = [
    *opened("field", "low-salt"),
    *answers(tested_salt=2500.0, pool_volume=48.0),
    Event("repaired", "2026-05-04T09:40:00Z", about="add_salt", value="done"),
    Event("verified", "2026-05-04T09:45:00Z", about="add_salt", value="helped"),
    Event("answered", "2026-05-05T08:00:00Z", about="tested_salt", value=3200.0),
    Event("closed", "2026-05-05T08:10:00Z", value="repair_here"),
]


def told(about: str, value: str | float, unit: str = "") -> Event:
    return Event(RECORDED, "2026-06-01T10:00:00Z", about=about, value=value, text=unit)


def record(*events: Event) -> Record:
    return view_for(job(*DONE, *events), DATE).record


def test_visits_are_told_by_the_times_of_the_events_and_not_by_what_is_recorded_at_a_desk() -> None:
    visits = record(told("customer", "Ann Example")).visits
    assert [(visit.begun, visit.ended, visit.minutes) for visit in visits] == [
        (AT, "2026-05-04T09:45:00Z", 45),
        ("2026-05-05T08:00:00Z", "2026-05-05T08:10:00Z", 10),
    ]
    assert record().labour == 55
    assert record(told("labour", 90.0)).labour == 90


def test_the_parts_of_a_done_repair_stay_with_the_amount_that_held_when_it_was_done() -> None:
    (salt,) = record().parts
    assert (salt.part, salt.unit) == ("salt", "kg")
    assert salt.quantity is not None
    # Mass balance: 1 kg in 48 m3 (48 000 kg) of water makes 1000/48 ppm more; the result is salt as it should be.
    after = 2500 + salt.quantity * 1000 / 48
    (right,) = [check for check in shipped.knowledge().checks.values() if check.id == "tested_salt"]
    ends = {band.id: band.under for band in right.bands}
    assert ends["low"] is not None
    assert ends["right"] is not None
    unit = shipped.knowledge().units["default"]
    assert ends["low"].value(unit) < after < ends["right"].value(unit)
    assert "salt" not in {part.part for part in view_for(job(*DONE), DATE).parts}


def test_what_is_recorded_by_hand_wins_and_nothing_stands_for_a_part_not_used() -> None:
    assert [(p.part, p.quantity) for p in record(told("part:salt", 40.0, "kg")).parts] == [("salt", 40.0)]
    found = record(told("part:salt", 0.0), told("part:cell", 1.0)).parts
    assert [(part.part, part.quantity, part.text, part.price) for part in found] == [("cell", 1.0, "1", "very_dear")]


def test_the_last_record_is_undone_and_no_answer() -> None:
    events = [told("customer", "Ann"), told("customer", "Bea"), Event("taken_back", AT, value=RECORDED)]
    assert record(*events).customer == "Ann"
    assert [event.kind for event in effective([*DONE, *events])] == [*(event.kind for event in DONE), RECORDED]
    # An answer taken back leaves what was recorded.
    again = job(*opened("field", "low-salt"), told("serial", "A1"), *answers(ph=7.2), Event("taken_back", AT))
    assert again.job.answers.keys() & {"ph"} == set()
    assert view_for(again, DATE).record.serial == "A1"


@pytest.mark.parametrize(
    "wrong", [told("colour", "red"), told("customer", 3.0), told("travel", -1.0), told("part:x", 1.0)]
)
def test_what_cannot_be_recorded_is_refused_and_set_aside_where_it_is_kept(wrong: Event) -> None:
    session = job(*DONE)
    with pytest.raises(ValueError, match=r"record|field"):
        session.record(wrong)
    assert Session(session.models, [*DONE, wrong]).job.set_aside == [wrong]


def test_a_record_outlives_the_journal_and_stands_on_the_papers() -> None:
    event = told("customer", "Ann Example")
    assert event_from({"v": 1, "kind": RECORDED, "at": event.at, "about": "customer", "value": "Ann Example"}) == event
    session = job(*DONE, event, told("photo", "IMG_01.jpg"), told("photo", "IMG_02.jpg"), told("travel", 25.0))
    for reader in ("technician", "shop"):
        paper = str(sheets(session, DATE, reader, annex=True))
        assert all(text in paper for text in ("Ann Example", "IMG_01.jpg", "IMG_02.jpg", "25 min", "kg"))


def test_work_that_was_done_without_its_time_has_a_line_that_says_so_and_no_tool_is_billed() -> None:
    """All at one moment: no visit has minutes, as where a job is filed afterwards from paper."""
    done = Event("repaired", AT, about="acid_clean", value="done")
    session = job(*opened("field", "low-salt"), *answers(cell_plates="white_scale"), done)
    rows = list(csv.DictReader(io.StringIO(till_form(view_for(session, DATE)), newline="")))
    assert [(row["text"], row["quantity"]) for row in rows if row["kind"] == "labour"] == [("Labour, not recorded", "")]
    assert "cleaning_stand" not in {row["code"] for row in rows}
    assert "cleaning_acid" in {row["code"] for row in rows}


def test_what_the_owner_signs_names_no_class_of_price() -> None:
    paper = str(sheets(job(*DONE), DATE, "technician"))
    assert "kg" in paper
    assert "price class" not in paper


def test_the_till_gets_a_line_a_position_by_the_columns() -> None:
    session = job(*DONE, told("customer", "Ann"), told("part:cell", 1.0), told("travel", 25.0))
    head, *lines = csv.reader(io.StringIO(till_form(view_for(session, DATE)), newline=""))
    assert tuple(head) == COLUMNS
    rows = [dict(zip(COLUMNS, line, strict=True)) for line in lines]
    assert [(row["position"], row["kind"], row["code"]) for row in rows] == [
        ("1", "part", "salt"),
        ("2", "part", "cell"),
        ("3", "labour", "labour"),
        ("4", "travel", "travel"),
    ]
    assert {row["customer"] for row in rows} == {"Ann"}
    assert (rows[3]["quantity"], rows[3]["unit"]) == ("25", "min")
    assert rows[1]["price_class"] == "very_dear"


@pytest.mark.parametrize("text", ["=1+1", "+49 30", "-2", "@x", " =cmd|' /C calc'!A0", "\t=1", 'a,b\n"c"'])
def test_no_text_begins_a_formula_or_another_line(text: str) -> None:
    # What a spreadsheet takes for a formula begins with one of = + - @ (OWASP, "CSV Injection", from memory).
    made = till_form(view_for(job(*DONE, told("customer", text)), DATE))
    rows = list(csv.reader(io.StringIO(made, newline="")))
    assert {len(row) for row in rows} == {len(COLUMNS)}
    assert not any(cell.lstrip().startswith(("=", "+", "-", "@")) for row in rows for cell in row)

"""The end of a call on a screen: what it comes to, and the sheet itself when it is wanted."""

from __future__ import annotations

from datetime import date

from engine.session.session import Session
from interview.command_line.job_sheet import JobSheet
from interview.frontends.lines import LineFrontEnd
from interview.messages import Choice, Given, Question, nothing_more
from interview.understanding.replies import read
from interview.understanding.results import Paper, Refusal
from tests.interview.frontends.test_lines import Typist
from tests.interview.people import COLOURS, opened
from tests.shipped import models

SAID = (
    ("role", "counter"),
    ("danger_now", "none"),
    ("complaint", "low-salt"),
    ("brought", "nothing"),
    ("tested_salt", 1500.0),
    ("unit_salt", 1500.0),
    ("pool_volume", 50.0),
)
CLOSE = Question("close", "close", "Close this job?", (Choice("close", "Close it"), Choice("keep", "Keep it open")))


def sheet(*more: tuple[str, str]) -> JobSheet:
    session = opened(Session(models()), *SAID, *more)
    return JobSheet(session, date(2026, 5, 4), command="brinecall sheet job")


def ended(height: int | None, *typed: str) -> Typist:
    typist = Typist(list(typed), height=height)
    front = LineFrontEnd(typist)
    front.show_sheet(sheet())
    assert front.put(CLOSE, nothing_more) == Given("close", "1")
    return typist


def test_on_a_screen_the_end_is_one_screen_of_decision_amount_saying_and_place() -> None:
    typist = ended(24, "1")
    shown = "\n".join(typist.shown)
    assert len(typist.shown) < 24
    for part in ("Do this first: ", "kg", "Say: ", "brinecall sheet job --for"):
        assert part in shown
    assert "WHAT TO DO" not in shown


def test_the_sheet_is_shown_where_it_is_asked_for() -> None:
    typist = ended(24, "sheet", "1")
    assert any(line.startswith("WHAT TO DO") for line in typist.paged)


def test_where_nothing_scrolls_away_the_sheet_is_printed() -> None:
    assert any(line.startswith("WHAT TO DO") for line in ended(None, "1").shown)


def test_before_the_end_there_is_no_sheet_to_show() -> None:
    assert read("sheet", CLOSE) == Paper()
    refused = read("sheet", COLOURS)
    assert isinstance(refused, Refusal)
    assert "finish" in refused.message


def test_danger_and_its_first_steps_come_first() -> None:
    lines = sheet(("danger_now", "tingle")).in_short()
    assert lines[1].startswith("1. ")
    assert not any(line.startswith("First work") for line in lines)

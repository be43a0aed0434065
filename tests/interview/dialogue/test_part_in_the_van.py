"""What the van holds is asked before anybody comes again for a part: kept for the day, and never assumed."""

from __future__ import annotations

import pytest

from engine.session.journal import Event, EventKind
from engine.session.session import Session
from interview.messages import Control, Given, Reply
from tests.interview.dialogue.test_repair_loop import FIELD, RulePerson, sheet_of, talk
from tests.interview.people import opened
from tests.shipped import knowledge, models

WORN = (
    ("unit_report", "cell_service"),
    ("cell_plates", "coating_worn"),
    ("cell_current", 6.0),
    ("tested_salt", 3500.0),
)
PART = next(need.part for need in knowledge().repairs["new_cell"].parts if not knowledge().parts[need.part].in_van)


def technician(*first: Reply) -> RulePerson:
    return RulePerson([], repairs={"new_cell": Given("done")}, verified={"new_cell": "helped"}, first=list(first))


def until_the_part(session: Session) -> None:
    """The visit up to the question for the part."""
    acts = 0
    while (act := session.next(wanted=[])).kind != "find_part":
        acts += 1
        assert acts < 60
        if act.kind == "ask":
            session.record(Event("dont_know", "2026-05-04T09:40:00Z", about=act.about))
        else:
            kind: EventKind = "made_safe" if act.kind == "isolate" else "switched_on"
            session.record(Event(kind, "2026-05-04T09:40:00Z", about=act.about))
    assert session.next(wanted=[]).about == PART


def worn() -> Session:
    session = opened(Session(models()), *FIELD, *WORN)
    until_the_part(session)
    return session


def test_a_part_that_is_there_after_all_is_fitted_on_this_visit() -> None:
    session = worn()
    person = technician(Given("here"))
    talk(session, person)
    assert person.times("part", PART) == 1
    assert person.times("perform", "new_cell") == 1


@pytest.mark.parametrize("reply", [Given("not_here"), Control.UNKNOWN])
def test_a_part_that_is_not_there_is_ordered(reply: Reply) -> None:
    session = worn()
    person = technician(reply)
    talk(session, person)
    assert (person.times("part", PART), person.times("perform", "new_cell")) == (1, 0)
    assert sheet_of(session).decision() == "order_and_return"


@pytest.mark.parametrize(("again", "asked"), [("2026-05-04T17:00:00Z", False), ("2026-05-05T08:00:00Z", True)])
def test_the_answer_holds_for_the_day(again: str, asked: bool) -> None:
    session = worn()
    session.record(Event("part_found", "2026-05-04T10:00:00Z", about=PART, value="not_here"))
    session.record(Event("resumed", again))
    assert (PART not in session.job.parts_found) == asked


def test_going_back_takes_it_back() -> None:
    session = worn()
    session.record(Event("part_found", "2026-05-04T10:00:00Z", about=PART, value="here"))
    assert session.next(wanted=[]).kind != "find_part"
    session.record(Event("taken_back", "2026-05-04T10:01:00Z"))
    assert session.next(wanted=[]).about == PART


def test_nobody_at_a_counter_is_asked_for_the_van() -> None:
    at_counter = (("role", "counter"), ("danger_now", "none"), ("complaint", "no-output"), ("brought", "cell"))
    session = opened(Session(models()), *at_counter, ("cell_plates", "coating_worn"))
    person = RulePerson([])
    talk(session, person)
    assert not [question for question in person.asked if question.kind == "part"]

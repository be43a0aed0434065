"""Back undoes the last thing, whatever it was, and the same question stands again."""

from __future__ import annotations

import pytest

from engine.session.journal import Event
from engine.session.session import Session
from interview.messages import Control, Deferred, Given, Note, Reply, Request, Unable
from tests.interview.dialogue.test_manager import BEGUN, begun, talk
from tests.interview.people import ListedPerson


def first_asked() -> str:
    return talk(begun())[1].asked[0].about


def after(*replies: Reply) -> tuple[Session, ListedPerson]:
    session = begun()
    _, person, _ = talk(session, *replies)
    return session, person


@pytest.mark.parametrize(
    "reply",
    [
        Control.UNKNOWN,
        Unable("no way there"),
        Deferred("tonight"),
        Note("he is in a hurry"),
        Request("say", "salt test 4100, plates white"),
        Request("tried", "clean the cell with acid"),
        Request("later", "salt test"),
        Request("ask", "plates"),
    ],
    ids=lambda reply: str(reply),
)
def test_whatever_was_last_is_undone_and_the_same_question_stands(reply: Reply) -> None:
    before = begun()
    session, person = after(reply, Control.BACK)
    assert session.job.answers.keys() == before.job.answers.keys()
    assert session.job.notes == []
    assert not session.job.unknown
    assert not session.job.cannot
    assert not session.job.waiting
    assert not session.job.repaired
    assert person.asked[-1].about == first_asked()


def test_an_answer_is_undone_and_then_the_one_before_it() -> None:
    first = first_asked()
    session, person = after(Control.UNKNOWN, Control.UNKNOWN, Control.BACK, Control.BACK)
    asked = [question.about for question in person.asked]
    assert asked[:2] == [first, asked[1]]
    assert asked[3:] == [asked[1], first]
    assert session.job.unknown == []


def test_a_check_that_was_wanted_and_answered_stands_again() -> None:
    session, person = after(Request("ask", "salt test"), Given(3000.0), Control.BACK)
    assert person.asked[-1].about == "tested_salt"
    assert "tested_salt" not in session.job.answers


def test_a_note_said_after_something_was_wanted_goes_first() -> None:
    session, person = after(Request("ask", "salt test"), Note("wait"), Control.BACK)
    assert session.job.notes == []
    assert person.asked[-1].about == "tested_salt"


def test_what_an_older_program_took_back_stays_what_it_was() -> None:
    at = "2026-05-04T09:31:00Z"
    session = begun(*BEGUN)
    session.record(Event("answered", at, about="water_look", value="clear"))
    session.record(Event("noted", at, text="gate code 12"))
    session.record(Event("taken_back", at))
    assert "water_look" not in session.job.answers
    assert session.job.notes == ["gate code 12"]

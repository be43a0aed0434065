"""What is wanted next and has to wait for the question that is open is said to come after it."""

from __future__ import annotations

from engine.session.session import Session
from interview.dialogue.manager import DialogueManager
from interview.messages import Control, Request
from tests.interview.people import ListedPerson, Memory, PaperSheet, clock, opened
from tests.shipped import models

BEGUN = (("role", "counter"), ("danger_now", "none"), ("complaint", "low-salt"), ("tested_salt", 2400.0))


def told(session: Session, *requests: Request) -> list[str]:
    person = ListedPerson([*requests, Control.LEAVE])
    DialogueManager(session, person, Memory(), clock, PaperSheet).run()
    return [text for text in person.said if "After this question" in text]


def test_before_what_the_interview_rests_on_it_is_said_that_a_change_comes_after() -> None:
    session = opened(Session(models()), *BEGUN)
    assert session.next().kind != "ask"
    assert len(told(session, Request("change", "salt"))) == 1


def test_what_is_put_at_once_is_put_without_a_word() -> None:
    session = opened(Session(models()), *BEGUN, ("brought", "nothing"), ("unit", "default"))
    assert session.next().kind == "ask"
    assert told(session, Request("change", "salt")) == []

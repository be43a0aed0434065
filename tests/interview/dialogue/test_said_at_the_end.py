"""What is said when a job is about to be closed: kept, heard for danger, and no way back where none is needed."""

from __future__ import annotations

from engine.session.session import Session
from interview.dialogue.manager import DialogueManager
from interview.messages import Control, Given, Note, Reply, Request
from tests.interview.people import ListedPerson, Memory, PaperSheet, clock, opened
from tests.shipped import models

BEGUN = (("role", "counter"), ("danger_now", "none"), ("complaint", "low-salt"), ("brought", "nothing"))


def ended(*replies: Reply) -> tuple[ListedPerson, Session]:
    """An interview that is finished at once, with these replies at its end."""
    session = opened(Session(models()), *BEGUN)
    person = ListedPerson([Control.FINISH, *replies])
    DialogueManager(session, person, Memory(), clock, PaperSheet).run()
    return person, session


def test_whose_job_it_is_can_be_recorded_without_going_back_into_the_interview() -> None:
    person, session = ended(Request("record", 'customer="Ann Example"'), Given("close"), Given("later"))
    assert [question.kind for question in person.asked][1:] == ["close", "close", "turned_out"]
    assert session.job.closed


def test_another_fact_leads_back_as_it_may_change_what_was_decided() -> None:
    person, session = ended(Request("say", "salt test 3400"), Control.LEAVE)
    assert [question.kind for question in person.asked][1:] == ["close", "ask"]
    assert not session.job.closed


def test_danger_in_what_is_recorded_comes_before_the_close() -> None:
    person, session = ended(Request("record", 'customer="felt a shock in the water"'), Control.LEAVE)
    assert session.job.danger == "tingle"
    assert not session.job.closed
    assert person.asked[-1].steps


def test_who_goes_while_something_is_asked_back_at_the_close_is_asked_no_more() -> None:
    # All that was said after such a `finish` used to go unheard, danger too, until the job was closed.
    person, session = ended(Given("close"), Request("tried", "cell"), Control.FINISH, Note("never said"))
    assert [question.about for question in person.asked][-2:] == ["cause", "which"]
    assert session.job.closed
    assert not any(event.text == "never said" for event in session.events)

"""An answer on which a remedy rests is put once more with what was said, and what cannot be looked at again stands."""

from __future__ import annotations

import pytest

from engine.session.doubting import AGAIN
from engine.session.journal import Event
from engine.session.session import Session
from interview.messages import Control, Deferred, Given, Question, Reply, Unable
from tests.interview.dialogue.test_repair_loop import RulePerson, talk
from tests.interview.people import opened
from tests.shipped import models

AT = "2026-05-04T09:40:00Z"
DARK = (
    ("role", "field"), ("danger_now", "none"), ("unit", "default"), ("complaint", "supply-fault"),
    ("unit_power", "dark"), ("breaker", "not_tripped"), ("just_before", "power_cut"), ("other_load", "works"),
)  # fmt: skip


def bridged() -> Session:
    """A dark unit whose plates were found touching, with nothing else new: a dear cell rests on one look."""
    session = opened(Session(models()), *DARK)
    session.record(Event("made_safe", AT, about="cell_plates"))
    session.record(Event("answered", AT, about="cell_plates", value="bent_or_bridged"))
    for _ in range(40):
        act = session.next(wanted=[])
        if act.why == AGAIN:
            break
        session.record(Event("dont_know" if act.kind == "ask" else "made_safe", AT, about=act.about))
    assert act.about == "cell_plates"
    return session


def put_again(person: RulePerson) -> list[Question]:
    return [question for question in person.asked if question.about == "cell_plates" and question.kind == "ask"]


def test_the_question_says_what_was_said_and_what_rests_on_it() -> None:
    person = RulePerson([], first=[Given("bent_or_bridged")])
    talk(bridged(), person)
    question = put_again(person)[0]
    assert "Cell plates" in question.text
    told = " ".join(question.details)
    assert "bent or bridged" in told
    assert "cell" in told.casefold()
    assert len(put_again(person)) == 1


def test_two_answers_that_differ_are_told_together_and_a_third_decides() -> None:
    session = bridged()
    person = RulePerson([], first=[Given("clean"), Given("clean")])
    talk(session, person)
    first, second = put_again(person)[:2]
    assert "clean" not in " ".join(first.details)
    assert "bent or bridged" in " ".join(second.details)
    assert "clean" in " ".join(second.details)
    assert session.job.answers["cell_plates"].reading.value == "clean"


@pytest.mark.parametrize("reply", [Control.UNKNOWN, Unable("no light"), Deferred("tomorrow")])
def test_who_cannot_look_again_is_not_asked_a_third_time_and_what_was_said_stands(reply: Reply) -> None:
    session = bridged()
    person = RulePerson([], first=[reply])
    talk(session, person)
    assert len(put_again(person)) == 1
    assert session.job.answers["cell_plates"].reading.value == "bent_or_bridged"
    assert any("Cell plates" in note for note in session.job.notes)
    assert "cell_plates" not in session.job.waiting

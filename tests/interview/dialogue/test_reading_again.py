"""An answer on which a remedy rests is put once more with what was said, and what cannot be looked at again stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import pytest

from engine.session.session import Session
from interview.messages import Control, Deferred, Given, Question, Reply, Request, Unable
from tests.interview.dialogue.test_repair_loop import RulePerson, talk
from tests.interview.people import opened
from tests.shipped import models

DARK = (
    ("role", "field"), ("danger_now", "none"), ("unit", "default"), ("complaint", "supply-fault"),
    ("unit_power", "dark"), ("breaker", "not_tripped"), ("just_before", "power_cut"), ("other_load", "works"),
)  # fmt: skip


@dataclass
class Looks(RulePerson):
    """A technician who looks at the plates first and replies so each time they are asked for."""

    plates: list[Reply] = field(default_factory=list)

    def put(self, question: Question, shown: Callable[[], None]) -> Reply:
        """What this person replies."""
        if question.about == "cell_plates" and question.kind == "ask":
            self.asked.append(question)
            shown()
            return self.plates.pop(0)
        return super().put(question, shown)


def looked(*plates: Reply) -> tuple[Looks, Session]:
    """A dark unit whose plates are found touching, with nothing else new: a dear cell rests on one look."""
    session = opened(Session(models()), *DARK)
    person = Looks([], first=[Request("ask", "plates")], plates=[Given("bent_or_bridged"), *plates])
    talk(session, person)
    return person, session


def put_again(person: Looks) -> list[Question]:
    return [question for question in person.asked if question.about == "cell_plates" and question.kind == "ask"][1:]


def test_the_question_says_what_was_said_and_what_rests_on_it() -> None:
    person, _ = looked(Given("bent_or_bridged"))
    question = put_again(person)[0]
    assert "Cell plates" in question.text
    told = " ".join(question.details)
    assert "bent or bridged" in told
    assert "cell" in told.casefold()
    assert len(put_again(person)) == 1


def test_two_answers_that_differ_are_told_together_and_a_third_decides() -> None:
    person, session = looked(Given("clean"), Given("clean"))
    first, second = put_again(person)[:2]
    assert "clean" not in " ".join(first.details)
    assert "bent or bridged" in " ".join(second.details)
    assert "clean" in " ".join(second.details)
    assert session.job.answers["cell_plates"].reading.value == "clean"


@pytest.mark.parametrize("reply", [Control.UNKNOWN, Unable("no light"), Deferred("tomorrow")])
def test_who_cannot_look_again_is_not_asked_a_third_time_and_what_was_said_stands(reply: Reply) -> None:
    person, session = looked(reply)
    assert len(put_again(person)) == 1
    assert session.job.answers["cell_plates"].reading.value == "bent_or_bridged"
    assert any("Cell plates" in note for note in session.job.notes)
    assert "cell_plates" not in session.job.waiting

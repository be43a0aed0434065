"""What the unit reports tells the trouble, where nobody says it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from engine.knowledge.model import Tree
from engine.session.complaint import complaint_told
from engine.session.models import Models
from engine.session.session import Session
from interview.dialogue.utterance import understood
from interview.messages import Control, Given, Request
from tests.interview.dialogue.test_manager import begun, talk
from tests.interview.people import opened
from tests.shipped import knowledge

START = (("role", "phone"), ("danger_now", "none"))
TOLD = [
    (tree, check, answer)
    for tree in knowledge().trees.values()
    for check, answers in tree.told_by.items()
    for answer in answers
]


@pytest.mark.parametrize(("tree", "check", "answer"), TOLD, ids=lambda item: getattr(item, "id", item))
def test_each_answer_that_tells_a_trouble_tells_that_one(tree: Tree, check: str, answer: str) -> None:
    session = begun(*START, (check, answer))
    assert complaint_told(knowledge(), session.job) == (tree.id, check)


def test_it_is_taken_and_told_in_one_line() -> None:
    session = begun(*START, ("unit_report", "no_flow"))
    _, person, memory = talk(session)
    assert session.job.complaint == "flow-fault"
    (told,) = [said for said in person.said if said.startswith("Problem: ")]
    assert "change problem" in told
    assert memory.events[0].beside == "line"


def test_it_can_be_changed_and_taken_back() -> None:
    session = begun(*START, ("unit_report", "no_flow"))
    _, person, _ = talk(session, Request("change", "trouble"), Given("no-output"))
    assert person.asked[1].about == "complaint"
    assert session.job.complaint == "no-output"
    session = begun(*START, ("unit_report", "no_flow"))
    _, person, _ = talk(session, Control.BACK)
    assert session.job.complaint is None
    assert person.asked[-1].about == "complaint"


def test_where_two_are_told_it_is_asked() -> None:
    session = begun(*START, ("unit_report", "no_flow"), ("leak_place", "union"))
    _, person, _ = talk(session)
    assert person.asked[0].about == "complaint"


def test_what_else_a_line_at_the_question_for_the_trouble_says_is_kept() -> None:
    session = begun(*START)
    talk(session, Request("say", "no chlorine, salt test 3000, plates white"))
    assert session.job.complaint == "no-output"
    assert session.job.answers.keys() >= {"tested_salt", "cell_plates"}
    session = begun(*START)
    talk(session, Given("low-salt", "says too little salt, salt test 3000"))
    assert session.job.complaint == "low-salt"
    assert "tested_salt" in session.job.answers


NEW = "milky-water"


@cache
def with_a_new_trouble() -> Models:
    """A complaint of one's own goes by names that sayings of others have too."""
    own = replace(knowledge().trees["no-output"], id=NEW, names=("cloudy water", "milk in the pool", "milky"))
    return Models(replace(knowledge(), trees={**knowledge().trees, NEW: own}))


def said_of_a_new_trouble(line: str) -> list[str]:
    """The troubles that a line tells there."""
    session = opened(Session(with_a_new_trouble()), *START)
    return [str(fact.value) for fact in understood(session, line).facts if fact.check == "complaint"]


@pytest.mark.parametrize(
    "line",
    [
        "cloudy water",
        "Cloudy water, salt test 3000",
        "cell age 3; cloudy water.",
        "milky",
        "there is milk in the pool again",
        "milk in our pool since yesterday, pump runs",
    ],
)
def test_a_new_complaint_is_heard_by_its_names(line: str) -> None:
    assert said_of_a_new_trouble(line) == [NEW]


def test_other_complaints_keep_their_sayings() -> None:
    assert said_of_a_new_trouble("the cell makes no chlorine") == ["no-output"]
    assert said_of_a_new_trouble("milky, not sure") == [NEW]

"""The first screen: one open question, three places below it, and the place that was picked last."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.session.journal import read_events
from engine.session.session import Session
from interview.dialogue.opening import first_question, first_words
from interview.dialogue.utterance import understood
from interview.frontends.lines import LineFrontEnd
from interview.messages import Control, Given, Reply, Request, nothing_more
from interview.understanding.replies import at_once, read
from tests.interview.frontends.test_lines import Typist
from tests.interview.people import opened, run
from tests.shipped import models

PLACES = [("counter", "Shop counter"), ("phone", "Phone"), ("field", "Technician at the pool")]


def typed(*lines: str, usual: str = "") -> tuple[Reply, Typist]:
    typist = Typist(list(lines))
    return LineFrontEnd(typist).put(first_question(PLACES, usual), nothing_more), typist


@pytest.mark.parametrize(
    ("line", "place"),
    [
        ("1", "counter"),
        ("Counter.", "counter"),
        ("phone:", "phone"),
        ("PHONE", "phone"),
        ("technician", "field"),
        ("at the pool", "field"),
    ],
)
def test_a_place_alone_is_picked_by_its_figure_or_its_words(line: str, place: str) -> None:
    reply, _ = typed(line)
    assert isinstance(reply, Given)
    assert reply.value == place


@pytest.mark.parametrize(
    "story",
    [
        "no chlorine for two weeks, salt 3100",
        "2 weeks green, phone",
        "green",
        "can't get any chlorine",
        "later in the day it says no flow",
        "smoke",
        "danger",
    ],
)
def test_any_other_line_is_told_whole(story: str) -> None:
    assert typed(story)[0] == Request("say", story)


def test_no_figure_answers_at_once_where_a_story_may_begin_with_one() -> None:
    assert at_once(first_question(PLACES)) == ""


def test_a_slip_in_a_place_is_asked_back_and_agreed_to_by_return() -> None:
    reply, typist = typed("conter", "")
    assert isinstance(reply, Given)
    assert reply.value == "counter"
    assert any('"counter"' in line for line in typist.shown)
    assert isinstance(typed("conter", "yes")[0], Given)
    assert typed("conter", "the pump hums")[0] == Request("say", "the pump hums")


def test_return_picks_the_place_picked_last_and_the_prompt_says_so() -> None:
    reply, typist = typed("", usual="counter")
    assert reply == Given("counter")
    assert typist.prompts == ["Return: Shop counter; 1-3, or ? > "]
    assert typed("", "leave")[0] is Control.LEAVE
    assert not first_question(PLACES, "moon").passes


def test_on_a_narrow_screen_what_return_picks_stands_above_the_prompt() -> None:
    typist = Typist([""], width=40)
    LineFrontEnd(typist).put(first_question(PLACES, "field"), nothing_more)
    assert typist.prompts == ["Return: Technician at the pool\n1-3, or ? > "]


def test_the_first_words_name_the_program_danger_and_where_the_job_is() -> None:
    name, danger, kept = first_words("~/jobs/job-1.jsonl").splitlines()
    assert name.startswith("brinecall")
    assert danger.endswith("danger")
    assert "~/jobs/job-1.jsonl" in kept


def test_dont_know_is_no_place() -> None:
    question = first_question(PLACES)
    assert read("dk", question) == read("not sure", question)
    assert not question.unknown


@pytest.mark.parametrize("line", ["phone, no flow, pump running", "Phone: no flow", "shop counter. no flow"])
def test_a_place_that_heads_a_line_is_taken_with_all_the_rest(line: str) -> None:
    facts = understood(opened(Session(models())), line).facts
    assert facts[0].check == "role"
    assert facts[0].value == ("counter" if line.startswith("shop") else "phone")
    assert ("complaint", "flow-fault") in [(fact.check, fact.value) for fact in facts]


@pytest.mark.e2e
def test_the_place_is_remembered_from_call_to_call(tmp_path: Path) -> None:
    run(tmp_path / "one", typed="phone\n")
    done = run(tmp_path / "two", typed="\n", BRINECALL_CONFIG=f"{tmp_path / 'one'}-choices")
    assert "Return: Phone" in done.stdout
    (journal,) = (tmp_path / "two").glob("*.jsonl")
    assert [event.value for event in read_events(journal) if event.about == "role"] == ["phone"]


@pytest.mark.e2e
def test_the_word_for_danger_puts_its_question_before_the_place(tmp_path: Path) -> None:
    done = run(tmp_path, typed="danger\n1\n")
    assert done.stdout.index("Safety first.") < done.stdout.index("Where are you taking this call?")


@pytest.mark.e2e
def test_nothing_that_is_said_is_lost(tmp_path: Path) -> None:
    run(tmp_path, typed="tried clean the cell with acid\ncounter\n")
    (journal,) = tmp_path.glob("*.jsonl")
    kinds = [event.kind for event in read_events(journal)]
    assert "already_tried" in kinds


@pytest.mark.e2e
def test_a_program_is_asked_for_the_place_alone(tmp_path: Path) -> None:
    done = run(tmp_path, "ask", "--pipe", typed="")
    first = done.stdout.splitlines()[0]
    assert "Where are you taking this call?" in first
    assert "brinecall:" not in done.stdout

"""What is done later: put off in any way, listed, and asked first when the job is taken up again."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path

import pytest

from engine.knowledge.model import ROLES, RoleId
from engine.session.journal import Event, read_events
from engine.session.session import Session
from interview.dialogue.manager import DialogueManager, Ending
from interview.messages import Control, Deferred, Given, Question, Reply, Request, Unable
from interview.understanding.replies import read
from interview.understanding.results import Refusal
from tests.interview.people import COLOURS, ListedPerson, Memory, PaperSheet, clock, lines, opened, run
from tests.shipped import knowledge, models

COUNTER = (
    ("role", "counter"),
    ("danger_now", "none"),
    ("unit", "default"),
    ("complaint", "no-output"),
    ("brought", "nothing"),
)
AT = "2026-05-04T09:00:00Z"
FIELD = (("role", "field"), *COUNTER[1:4])


def talk(session: Session, *replies: Reply) -> tuple[Ending, ListedPerson, Memory]:
    person, memory = ListedPerson(list(replies)), Memory()
    return DialogueManager(session, person, memory, clock, PaperSheet).run(), person, memory


@pytest.mark.parametrize(("typed", "reply"), [("later", Deferred()), ("Later tomorrow", Deferred("tomorrow"))])
def test_later_is_said_with_or_without_when(typed: str, reply: Deferred) -> None:
    from dataclasses import replace

    assert read(typed, replace(COLOURS, may_wait=True)) == reply
    assert isinstance(read(typed, COLOURS), Refusal)
    assert read("later ask plates", COLOURS) == Request("later", "plates")


def test_what_is_put_off_is_asked_first_on_the_next_visit_and_again_put_off_or_answered() -> None:
    session = opened(Session(models()), *FIELD)
    first = session.next().about
    _, person, memory = talk(session, Deferred("tomorrow"), Request("later", "ph"), Control.FINISH)
    assert [(event.kind, event.about, event.text) for event in memory.events] == [
        ("deferred", first, "tomorrow"),
        ("deferred", "ph", ""),
    ]
    closing = person.asked[-1]
    # As at every other end: a number must not mean the opposite of what it meant at the last job.
    _, usual, _ = talk(opened(Session(models()), *FIELD), Control.FINISH)
    assert [choice.id for choice in closing.choices] == [choice.id for choice in usual.asked[-1].choices][:2]
    again = Session(models(), session.events)
    _, person, _ = talk(again, Given("clear"), Deferred("friday"))
    assert [question.about for question in person.asked[:2]] == [first, "ph"]
    assert person.asked[2].about not in (first, "ph")
    assert again.job.waiting == {"ph": "friday"}


def in_hours(hours: int) -> datetime:
    """The time so much later than the clock's."""
    return clock() + timedelta(hours=hours)


class KnowsNothing(ListedPerson):
    """Says don't know, can't and later in turn, and leaves after a few questions."""

    def put(self, question: Question, shown: Callable[[], None]) -> Reply:
        """The reply to the question, by how many were put before it."""
        self.asked.append(question)
        shown()
        if len(self.asked) > 3 or question.kind == "close":
            return Control.LEAVE
        turn = len(self.asked) % 3
        if turn == 1 and question.may_wait:
            return Deferred("tonight")
        return Control.UNKNOWN if turn == 2 and question.unknown else Unable("no key")


@pytest.mark.parametrize("role", ROLES)
def test_however_often_a_job_is_left_and_taken_up_no_more_is_asked_than_was_said(role: RoleId) -> None:
    start = (("role", role), *COUNTER[1:3], ("complaint", "flow-fault"), COUNTER[4])
    session, asked = opened(Session(models()), *start), set[str]()
    for visit in range(20):
        session, person = Session(models(), session.events), KnowsNothing([])
        DialogueManager(session, person, Memory(), partial(in_hours, 10 * visit), PaperSheet).run()
        asked |= {question.about for question in person.asked if question.kind == "ask"}
    assert 3 < len(asked) <= knowledge().roles[role].limit


def test_danger_the_start_and_making_safe_cannot_wait() -> None:
    for said in ((), (("role", "field"),), (("role", "field"), ("danger_now", "tingle"))):
        _, person, _ = talk(opened(Session(models()), *said))
        assert not person.asked[0].may_wait


def test_a_remedy_for_the_home_is_put_off_at_the_counter_and_its_outcome_taken_on_the_phone(tmp_path: Path) -> None:
    first = run(
        tmp_path,
        typed=lines("counter", "none", "cold-water", "1", "pool 8 C, unit temp 8, pH 7.4", "finish", "later march"),
    )
    assert first.returncode == 0, first.stderr
    (path,) = tmp_path.glob("*.jsonl")
    put_off = read_events(path)[-1]
    assert (put_off.kind, put_off.text) == ("deferred", "march")
    second = run(tmp_path, "resume", typed=lines("done", "helped", "close"))
    assert second.returncode == 0, second.stderr
    assert [(e.kind, e.value) for e in read_events(path) if e.kind != "recorded"][-3:] == [
        ("repaired", "done"),
        ("verified", "helped"),
        ("closed", "repair_here"),
    ]


def test_over_the_pipe_a_job_that_waits_stays_open_and_its_sheet_tells_of_it(tmp_path: Path) -> None:
    said: list[object] = [
        {"answer": "field"},
        {"answer": "none"},
        {"answer": "default"},
        {"answer": "no-output"},
        {"why": 1},
        {"why": 2},
        {"list": True},
        {"later": "tomorrow"},
        {"ask": "plates"},
        {"later": True},
        {"tried": "add salt"},
        {"change": 4},
        {"back": True},
        {"finish": True},
    ]
    done = run(tmp_path, "ask", "--pipe", typed="".join(f"{json.dumps(item)}\n" for item in said))
    assert done.returncode == 0, done.stderr
    out = [json.loads(line) for line in done.stdout.splitlines()]
    assert not [line["error"] for line in out if "error" in line]
    words, figures = (line["why"] for line in out if "why" in line)
    assert words
    assert "decibans" in " ".join(figures)
    waiting = out[-1]["sheet"]["waiting"]
    assert [(item["about"], item["when"]) for item in waiting] == [("water_look", "tomorrow"), ("cell_plates", "")]
    (path,) = tmp_path.glob("*.jsonl")
    session = Session(models(), read_events(path))
    assert not session.job.closed
    assert list(session.job.waiting) == ["water_look", "cell_plates"]
    assert session.job.failed == ("add_salt",)


def test_a_number_in_a_line_that_is_hardly_meant_is_offered_and_kept_once_it_is_picked() -> None:
    session = opened(Session(models()), *COUNTER)
    _, person, memory = talk(session, Request("say", "salt test 20 g/L"))
    assert memory.events == []
    first = person.understood[0].unclear[0].candidates[0]
    assert (first.check, first.value) == ("tested_salt", 20000.0)
    session = opened(Session(models()), *COUNTER)
    _, _, memory = talk(session, Request("say", "salt test 20 g/L"), Given("1"))
    assert [(event.about, event.value) for event in memory.events] == [("tested_salt", 20000.0)]


@pytest.mark.parametrize("typed", ["ok", "yes", "done", "y", "1", "Done."])
def test_switching_is_confirmed_in_a_word_and_never_by_nothing(typed: str) -> None:
    session = opened(Session(models()), *FIELD)
    _, person, _ = talk(session, Request("ask", "plates"))
    switching = person.asked[1]
    assert switching.kind == "confirm"
    assert any("minutes" in detail for detail in switching.details)
    assert isinstance(given := read(typed, switching), Given)
    assert given.value == "done"
    for nothing in ("", " ", "no", "maybe"):
        assert not isinstance(read(nothing, switching), Given)


def test_ok_is_not_enough_where_people_are_in_danger() -> None:
    _, person, _ = talk(opened(Session(models()), ("role", "phone"), ("danger_now", "tingle")))
    assert isinstance(read("ok", person.asked[0]), Refusal)
    assert isinstance(read("", person.asked[0]), Refusal)
    assert read("done", person.asked[0]) == Given("done", "done")


def test_a_danger_comes_before_what_was_put_off_even_the_look_that_told_of_it() -> None:
    session = opened(Session(models()), *FIELD, ("pack_heat", "hot_or_smells"))
    session.record(Event("deferred", AT, about="pack_heat"))
    session.record(Event("deferred", AT, about="ph"))
    _, person, _ = talk(session, Control.LEAVE)
    steps = models().knowledge.dangers["burning_smell"].steps.for_role("field")
    assert (person.asked[0].about, person.asked[0].steps) == ("danger_now", steps)


def test_a_danger_that_shows_after_a_repair_comes_before_all_that_is_read_again() -> None:
    told = (*FIELD[:3], ("complaint", "cell-leak"), ("drip_reaches", "clear_of_electrics"))
    session = opened(Session(models()), *told)
    done = Event("repaired", AT, about="renew_cracked_cell", value="done")
    session.record(done)
    session.record(Event("verified", AT, about="renew_cracked_cell", value="not_helped"))
    _, person, _ = talk(
        session, Request("ask", "danger_now"), Request("ask", "leak_place"), Given("body"), Control.LEAVE
    )
    at = max(place for place, question in enumerate(person.asked) if question.about == "leak_place")
    steps = models().knowledge.dangers["gas_in_cell_popping"].steps.for_role("field")
    assert person.asked[at + 1].steps == steps

"""What is said beside an answer: facts, any check, the list, changes, repairs tried before, a can't lifted."""

from __future__ import annotations

import io
import json
from collections import Counter
from typing import Any

import pytest

from engine.session.session import Session
from interview.dialogue import utterance
from interview.dialogue.manager import DialogueManager
from interview.frontends.json_lines import PipeFrontEnd
from interview.messages import Control, Given, Reply, Request, Unable, Understood
from interview.understanding.listening.listener import listen
from interview.understanding.matching import in_plain_words
from interview.understanding.names import repairs_named
from tests.interview.people import ListedPerson, Memory, PaperSheet, clock, opened
from tests.shipped import knowledge, models

COUNTER = (("role", "counter"), ("danger_now", "none"), ("unit", "default"), ("complaint", "no-output"))
BROUGHT = (*COUNTER, ("brought", "nothing"))
LINE = "salt test 4100, plates white, cleaned 12 months ago"


def talk(*replies: Reply, said: tuple[tuple[str, str], ...] = BROUGHT) -> tuple[Session, ListedPerson, Memory]:
    session = opened(Session(models()), *said)
    begun, person, memory = list(session.events), ListedPerson(list(replies)), Memory()
    DialogueManager(session, person, memory, clock, PaperSheet).run()
    assert Session(models(), [*begun, *memory.events]).job == session.job
    return session, person, memory


def kinds(memory: Memory) -> list[tuple[str, str]]:
    return [(event.kind, event.about) for event in memory.events]


def test_a_line_of_facts_is_kept_and_shown_and_the_interview_goes_on() -> None:
    session, person, memory = talk(Request("say", LINE))
    said = {event.about: event.value for event in memory.events}
    assert said == {"tested_salt": 4100.0, "cell_plates": "white_scale", "months_since_clean": 12.0}
    assert {event.kind for event in memory.events} == {"answered"}
    assert [(fact.check, fact.value) for fact in person.understood[0].facts] == list(said.items())
    assert not set(said) & {question.about for question in person.asked}
    assert session.job.readings["tested_salt"].value == 4100.0


def test_what_may_mean_two_checks_is_asked_back_and_not_kept_before() -> None:
    _, person, memory = talk(Request("say", "salt 4100"))
    offered = [(each.check, each.value) for each in person.understood[0].unclear[0].candidates]
    assert sorted(offered) == [("tested_salt", 4100.0), ("unit_salt", 4100.0)]
    assert memory.events == []
    place = offered.index(("tested_salt", 4100.0))
    _, _, memory = talk(Request("say", "salt 4100"), Given(str(place + 1)))
    assert [(event.about, event.value) for event in memory.events] == [("tested_salt", 4100.0)]


def test_what_one_line_brought_is_taken_back_together() -> None:
    session, _, memory = talk(Request("say", LINE), Control.BACK)
    assert kinds(memory)[3:] == [("taken_back", "")] * 3
    assert session.job.answers.keys() == {"danger_now"}


def test_the_same_fact_twice_is_kept_once_and_another_value_corrects_it() -> None:
    _, _, memory = talk(*[Request("say", "salt test 4100")] * 2, Request("say", "salt test 3000"))
    assert kinds(memory) == [("answered", "tested_salt"), ("corrected", "tested_salt")]


def test_a_line_at_a_question_counts_as_facts_only_where_it_is_no_answer() -> None:
    _, person, _ = talk()
    says_more = person.asked[0].says_more
    assert says_more is not None
    assert says_more(LINE)
    assert says_more("plates")
    assert not says_more("banana")
    assert not says_more("30 ppm")


def test_a_line_of_facts_is_understood_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """From the typed line to what is kept, by way of a front end."""
    understood: list[str] = []

    def counted(line: str, *rest: Any) -> Understood:
        understood.append(line)
        return listen(line, *rest)

    monkeypatch.setattr(utterance, "listen", counted)
    memory = Memory()
    typed = PipeFrontEnd(io.StringIO(json.dumps({"answer": LINE})), io.StringIO())
    DialogueManager(opened(Session(models()), *BROUGHT), typed, memory, clock, PaperSheet).run()
    assert [event.about for event in memory.events] == ["tested_salt", "cell_plates", "months_since_clean"]
    assert understood == [LINE]


def test_any_check_is_put_next_by_its_name() -> None:
    _, person, memory = talk(Request("ask", "plates"), Given("white_scale"))
    assert person.asked[1].about == "cell_plates"
    assert kinds(memory) == [("answered", "cell_plates")]


@pytest.mark.parametrize("wanted", ["6", "plates", "cell_plates"])
def test_an_earlier_answer_is_asked_again_and_corrected(wanted: str) -> None:
    session, person, memory = talk(
        Request("say", "plates white"), Request("list"), Request("change", wanted), Given(other_look())
    )
    assert "6. plates:" in person.said[0]
    assert kinds(memory) == [("answered", "cell_plates"), ("corrected", "cell_plates")]
    assert session.job.answers["cell_plates"].reading.value == other_look()


def other_look() -> str:
    return next(answer.id for answer in knowledge().checks["cell_plates"].answers if answer.id != "white_scale")


def test_the_complaint_can_be_changed_and_back_leaves_it() -> None:
    session, _, memory = talk(Request("change", "complaint"), Control.BACK, Request("change", "3"), Given("low-salt"))
    assert kinds(memory) == [("corrected", "complaint")]
    assert session.tree.id == "low-salt"


def test_dont_know_in_place_of_an_answer_takes_it_out() -> None:
    session, _, _ = talk(Request("say", "plates white"), Request("change", "plates"), Control.UNKNOWN)
    assert "cell_plates" not in session.job.answers
    assert session.job.unknown == ["cell_plates"]


def test_a_repair_tried_before_is_evidence() -> None:
    session, _, memory = talk(Request("tried", "add salt"))
    assert kinds(memory) == [("already_tried", "add_salt")]
    assert session.job.failed == ("add_salt",)


def test_a_repair_named_in_full_is_meant_alone_though_others_hold_its_words() -> None:
    """What a sheet prints as a repair's name can be typed back."""
    repairs = knowledge().repairs.values()
    titles = Counter(in_plain_words(name) for one in repairs for name in {one.wording.customer, one.wording.technician})
    for one in repairs:
        for name in (one.id.replace("_", " "), one.wording.customer, one.wording.technician):
            if titles[in_plain_words(name)] <= 1:
                assert repairs_named(knowledge(), name) == ((one.id,), True), name


def test_a_repair_half_named_is_asked_back() -> None:
    names, whole = repairs_named(knowledge(), "salt added last week")
    assert "add_salt" in names
    assert not whole
    _, person, memory = talk(Request("tried", "salt zebra"))
    assert person.asked[1].about == "which"
    assert memory.events == []


def test_a_cant_rules_out_its_need_and_can_lifts_it() -> None:
    field = (("role", "field"), *COUNTER[1:])
    session, _, _ = talk(Request("ask", "plates"), Given("done"), Unable("no tools here"), said=field)
    need = knowledge().checks["cell_plates"].needs
    assert need in session.job.barred
    session, _, memory = talk(
        Request("ask", "plates"), Given("done"), Unable("no tools here"), Request("can", need), said=field
    )
    assert memory.events[-1].kind == "lifted"
    assert session.job.barred == {}
    assert session.job.cannot == {}


def test_where_there_is_danger_no_wanted_check_is_put() -> None:
    _, person, _ = talk(Request("ask", "plates"), said=(("role", "counter"), ("danger_now", "tingle")))
    assert {question.about for question in person.asked} == {"danger_now"}


def test_the_pipe_says_what_it_understood_and_then_the_question_again() -> None:
    target = io.StringIO()
    source = io.StringIO('{"say": "plates white, salt 4100"}\n')
    session = opened(Session(models()), *BROUGHT)
    DialogueManager(session, PipeFrontEnd(source, target), Memory(), clock, PaperSheet).run()
    asked, understood, again = (json.loads(line) for line in target.getvalue().splitlines())
    assert understood["v"] == 2
    assert understood["understood"] == [{"ask": "cell_plates", "answer": "white_scale"}]
    (unclear,) = understood["unclear"]
    assert sorted(each["ask"] for each in unclear["candidates"]) == ["tested_salt", "unit_salt"]
    assert {each["answer"] for each in unclear["candidates"]} == {4100.0}
    assert {"ask", "text"} <= again.keys() & asked.keys()

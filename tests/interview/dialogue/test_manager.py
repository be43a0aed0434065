"""The loop: acts to a front end, replies to events, every event kept before the next question."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.knowledge.model import ROLES, RoleId
from engine.session.journal import Event
from engine.session.session import Session
from interview.dialogue.manager import DialogueManager, Ending
from interview.messages import Control, Given, Note, Question, Reply, Request, Unable
from tests.interview.people import ListedPerson, Memory, PaperSheet, clock, opened
from tests.shipped import knowledge, models

BEGUN = (("role", "field"), ("danger_now", "none"), ("unit", "default"), ("complaint", "no-output"))


def talk(session: Session, *replies: Reply) -> tuple[Ending, ListedPerson, Memory]:
    person, memory = ListedPerson(list(replies)), Memory()
    return DialogueManager(session, person, memory, clock, PaperSheet).run(), person, memory


def begun(*said: tuple[str, str]) -> Session:
    return opened(Session(models()), *(said or BEGUN))


def kinds(memory: Memory) -> list[tuple[str, str]]:
    return [(event.kind, event.about) for event in memory.events]


def test_the_first_questions_come_in_their_order() -> None:
    session = opened(Session(models()))
    opening = (Given("counter"), Given("none"), Given("no-output"), Given("water_sample"))
    answers = (*opening, Request("ask", "unit_report"), Control.UNKNOWN)
    ending, person, memory = talk(session, *answers)
    assert [question.about for question in person.asked[:4]] == ["role", "danger_now", "complaint", "brought"]
    # Which unit it is like is asked before it first matters: how units tell their state differs.
    assert [question.about for question in person.asked[5:7]] == ["unit", "unit_report"]
    assert session.job.unit_assumed
    assert session.job.brought == ("water_sample",)
    assert any("is assumed" in said for said in person.said)
    assert not ending.closed
    assert len(memory.events) == 5


def test_an_answer_is_kept_before_it_is_believed_and_before_the_next_question() -> None:
    session = begun()
    known_when_kept: list[bool] = []

    class Watching(Memory):
        def write(self, event: Event) -> None:
            known_when_kept.append(event in session.events)
            super().write(event)

    memory = Watching()
    kept_when_asked: list[int] = []

    class Person(ListedPerson):
        def put(self, question: Question, shown: Callable[[], None]) -> Reply:
            kept_when_asked.append(len(memory.events))
            return super().put(question, shown)

    DialogueManager(session, Person([Given("clear"), Given("normal")]), memory, clock, PaperSheet).run()
    assert known_when_kept == [False, False]
    assert kept_when_asked == [0, 1, 2]


def test_going_back_asks_the_same_again() -> None:
    session = begun()
    first = session.next().about
    _, person, memory = talk(session, Given("clear", "1"), Control.BACK)
    assert [question.about for question in person.asked][::2] == [first, first]
    assert kinds(memory) == [("answered", first), ("taken_back", "")]
    assert person.said == [f"Undone: {knowledge().checks[first].wording.technician}"]


def test_there_is_nothing_to_take_back_at_the_start() -> None:
    _, person, memory = talk(opened(Session(models())), Control.BACK)
    assert memory.events == []
    assert any("nothing to undo" in said for said in person.said)


def test_a_note_is_kept_and_the_question_stays() -> None:
    session = begun()
    _, person, memory = talk(session, Note("gate code 12"))
    assert kinds(memory) == [("noted", "")]
    assert session.job.notes == ["gate code 12"]
    assert person.asked[0].about == person.asked[1].about


@pytest.mark.parametrize("role", ROLES)
def test_dont_know_on_danger_is_never_none(role: RoleId) -> None:
    session = opened(Session(models()), ("role", role))
    _, person, memory = talk(session, Control.UNKNOWN)
    assert kinds(memory) == [("dont_know", "danger_now")]
    assert session.job.danger is None
    assert session.job.danger_unsaid
    text = " ".join(person.said)
    assert "as if there might be danger" in text
    for answer in knowledge().checks["danger_now"].answers:
        assert (answer.wording.for_role(role) in text) is (answer.reports is not None)
    # What to do at work is told at the work: nobody works yet, and an owner proves nothing dead.
    assert set(person.cautions) == {"tingle_keep_out", "acid_never_with_chlorine", "licensed_electrician"}
    assert "Danger has not been ruled out." in person.asked[1].progress


@pytest.mark.parametrize("danger", [a.id for a in knowledge().checks["danger_now"].answers if a.reports])
def test_danger_leads_to_making_safe_and_then_to_the_sheet(danger: str) -> None:
    session = opened(Session(models()), ("role", "counter"))
    ending, person, memory = talk(session, Given(danger), Given("done"), Given("close"))
    assert [question.kind for question in person.asked] == ["ask", "confirm", "close"]
    assert person.asked[1].cautions
    assert kinds(memory)[1] == ("made_safe", "danger_now")
    assert ending.closed
    assert session.job.decision == "make_safe"
    assert memory.events[-1].kind == "handed_on"
    assert len(person.sheets) == 1


def test_danger_that_cannot_be_made_safe_gives_the_sheet_at_once_and_stays_first() -> None:
    session = opened(Session(models()), ("role", "phone"))
    _, person, _ = talk(session, Given("tingle"), Given("not_done"), Given("keep"))
    assert len(person.sheets) == 1
    assert not session.job.made_safe
    assert session.next().kind == "make_safe"


def to_the_plates(*then: Reply) -> tuple[Ending, ListedPerson, Memory, Session]:
    """A technician who is asked to look at the plates, by the written way of the tree."""
    session = begun()
    said: dict[str, str | float] = {"water_look": "clear", "unit_report": "cell_service", "just_before": "nothing"}
    for about, value in (said | {"months_since_clean": 14.0}).items():
        session.record(Event("answered", "2026-05-04T09:30:00Z", about=about, value=value))
    while (act := session.next()).kind == "ask":
        session.record(Event("dont_know", "2026-05-04T09:30:00Z", about=act.about))
    assert act.kind == "isolate"
    assert session.next().about == "cell_plates"
    ending, person, memory = talk(session, *then)
    return ending, person, memory, session


def test_the_supply_is_switched_off_as_a_step_of_its_own() -> None:
    _, person, memory, session = to_the_plates(Given("done"))
    assert person.asked[0].kind == "confirm"
    assert person.asked[0].cautions[0].id == "isolate_and_prove_dead"
    assert kinds(memory) == [("made_safe", "cell_plates")]
    assert session.job.plant == "isolated"
    assert not session.job.made_safe
    assert person.asked[1].about == "cell_plates"
    assert "The supply is off." in person.asked[1].progress


def test_what_cannot_be_switched_rules_out_what_needed_it() -> None:
    _, person, memory, session = to_the_plates(Unable("lock is missing"))
    assert kinds(memory) == [("cant", "cell_plates")]
    assert session.job.cannot["cell_plates"] == "lock is missing"
    assert person.asked[1].about != "cell_plates"


def test_a_caution_is_confirmed_for_each_act_and_told_whole_once() -> None:
    _, person, _, session = to_the_plates(Given("done"), Given("white_scale"), Given("not_done"))
    assert person.asked[1].about == "cell_plates"
    # The cautions of opening the plant were confirmed with the switching; the look asks for them no more.
    confirmed = {caution.id for caution in person.asked[0].cautions}
    assert not confirmed & {caution.id for caution in person.asked[1].cautions}
    repair = person.asked[2]
    assert repair.kind == "perform"
    assert repair.confirm_cautions
    told = {caution.id: caution.text for caution in repair.cautions}
    assert set(told) >= set(knowledge().repairs["acid_clean"].work.cautions.technician)
    for name, text in told.items():
        caution = knowledge().cautions[name]
        assert text == (caution.in_short if name in confirmed else caution.wording).for_role("field")
    assert session.job.repaired["acid_clean"] == "not_done"


def test_a_repair_is_done_verified_and_the_job_closed() -> None:
    ending, person, memory, session = to_the_plates(
        Given("done"),
        Given("white_scale"),
        Given("done"),
        Given("done"),
        Given("helped"),
        Given("normal"),
        Given("close"),
    )
    kinds_asked = ["confirm", "ask", "perform", "confirm", "verify", "ask", "close", "turned_out"]
    assert [question.kind for question in person.asked] == kinds_asked
    # What the unit said is asked once more, as left; the plates are not opened for it again.
    assert person.asked[5].about == "unit_report"
    assert [(e.kind, e.value) for e in memory.events if e.kind != "recorded"][-5:] == [
        ("repaired", "done"),
        ("switched_on", None),
        ("verified", "helped"),
        ("answered", "normal"),
        ("closed", "repair_here"),
    ]
    assert ending == Ending(closed=True, sheet_shown=True)
    assert session.job.closed


def test_a_reading_as_left_may_be_passed_by() -> None:
    done = Given("done")
    ending, person, memory, _ = to_the_plates(
        done, Given("white_scale"), done, done, Given("helped"), Control.BACK, Given("close")
    )
    assert 'For the sheet, give the same readings as they are now; type "back" to leave one out.' in person.said
    assert [event.kind for event in memory.events if event.kind != "recorded"][-2:] == ["verified", "closed"]
    assert ending.closed


def test_could_not_keeps_its_reason() -> None:
    _, _, memory, _ = to_the_plates(Given("done"), Given("white_scale"), Unable("no acid left"))
    assert memory.events[-1].value == "could_not"
    assert memory.events[-1].reason == "no acid left"


def test_a_result_that_shows_later_leaves_the_job_waiting_for_it() -> None:
    done = Given("done")
    ending, person, _, session = to_the_plates(done, Given("white_scale"), done, done, Given("later"))
    assert ending == Ending(closed=False, sheet_shown=True)
    assert len(person.sheets) == 1
    assert list(session.job.waiting) == ["acid_clean"]
    assert session.next().why == "waiting"


def test_finish_gives_the_sheet_with_what_is_known_and_back_goes_on() -> None:
    session = begun()
    ending, person, _ = talk(
        session, Given("clear"), Control.FINISH, Control.BACK, Given("green"), Control.FINISH, Given("keep")
    )
    assert len(person.sheets) == 2
    assert session.job.answers["water_look"].reading.value == "green"
    assert not ending.closed


def test_finish_before_the_complaint_has_nothing_to_say() -> None:
    session = opened(Session(models()), ("role", "field"), ("danger_now", "none"))
    _, person, memory = talk(session, Control.FINISH)
    assert person.sheets == []
    assert memory.events == []


def test_closing_can_wait_for_notes_and_says_who_takes_over() -> None:
    session = begun()
    _, _, memory = talk(session, Control.FINISH, Note("bring a ladder"), Given("close"))
    assert kinds(memory)[0] == ("noted", "")
    assert memory.events[-1].kind in ("closed", "handed_on")
    assert session.job.closed


def test_a_closed_job_shows_its_sheet_and_asks_only_what_it_was() -> None:
    session = begun()
    talk(session, Control.FINISH, Given("close"), Given("later"))
    ending, person, memory = talk(session)
    assert ending.closed
    assert [question.kind for question in person.asked] == ["turned_out"]
    assert len(person.sheets) == 1
    assert memory.events == []
    talk(session, Given("cell_scaled"))
    _, person, memory = talk(session)
    assert (person.asked, memory.events) == ([], [])


def test_what_it_was_is_asked_at_the_close_and_due_until_it_is_said() -> None:
    session = begun()
    _, person, memory = talk(session, Control.FINISH, Given("close"), Given("something_else", "a frog"))
    likely = [choice.id for choice in person.asked[-1].choices]
    assert likely[-3:] == ["something_else", "never_known", "later"]
    assert likely[:-3] == list(session.marginals())[:5]
    # A week after, judgement: the sheet of these tests tells of no day.
    assert [(e.about, e.value, e.text) for e in memory.events if e.kind == "recorded"] == [
        ("due", "2026-05-11", ""),
        ("cause", "something_else", "a frog"),
    ]


def test_what_is_said_where_it_is_asked_what_it_was_is_not_lost() -> None:
    _, person, memory = talk(begun(), Control.FINISH, Given("close"), Note("the gate is blue"), Given("later"))
    assert [question.kind for question in person.asked][-2:] == ["turned_out", "turned_out"]
    noted, closed = (event for event in memory.events if event.kind != "recorded")
    assert (noted.kind, noted.text) == ("noted", "the gate is blue")
    assert closed.kind in ("closed", "handed_on")


def test_a_danger_told_of_where_it_is_asked_what_it_was_stops_the_closing() -> None:
    session = begun()
    line = "there is a smell of chlorine gas"
    ending, person, _ = talk(session, Control.FINISH, Given("close"), Request("say", line))
    assert not ending.closed
    assert not session.job.closed
    assert session.job.danger == "chlorine_smell"
    assert person.asked[-1].kind == "confirm"


def test_a_fact_or_back_where_it_is_asked_what_it_was_leads_back_into_the_job() -> None:
    for reply in (Control.BACK, Request("say", "plates white")):
        session = begun()
        ending, _, _ = talk(session, Control.FINISH, Given("close"), reply)
        assert not ending.closed
        assert not session.job.closed


def test_breaking_off_where_it_is_asked_what_it_was_leaves_it_closed() -> None:
    class BreakingOff(ListedPerson):
        def put(self, question: Question, shown: Callable[[], None]) -> Reply:
            if question.kind == "turned_out":
                raise KeyboardInterrupt
            return super().put(question, shown)

    session, memory = begun(), Memory()
    with pytest.raises(KeyboardInterrupt):
        DialogueManager(session, BreakingOff([Control.FINISH, Given("close")]), memory, clock, PaperSheet).run()
    assert session.job.closed
    assert memory.events[-1].kind in ("closed", "handed_on")


REQUESTS = st.one_of(
    st.builds(
        Request,
        st.just("say"),
        st.sampled_from(["plates white, salt test 4100", "salt 3000", "plates", "cleaned 3 months ago", "none of it"]),
    ),
    st.builds(
        Request, st.just("ask"), st.sampled_from(["plates", "tested_salt", "salt", "fuse", "danger now", "zebra"])
    ),
    st.builds(Request, st.just("list")),
    st.builds(Request, st.just("change"), st.sampled_from(["1", "2", "3", "5", "6", "99", "plates", "complaint", ""])),
    st.builds(Request, st.just("tried"), st.sampled_from(["add salt", "cleaned last week, fuse renewed", "zebra"])),
    st.builds(Request, st.just("can"), st.sampled_from(["tools", "kit", "plates", "salt", "zebra"])),
)
"""What may be wanted beside an answer, with words that name something, several things, or nothing."""


def reply_to(question: Question, draw: st.DrawFn) -> Reply:
    """Something a person may reply to this question."""
    ways = ["give"] * 6 + ["back", "note"]
    ways += ["unknown"] if question.unknown else []
    ways += ["cannot"] if question.may_fail else []
    ways += ["request", "request"] if question.about != "which" else []
    way = draw(st.sampled_from(ways))
    if way == "request":
        request: Reply = draw(REQUESTS)
        return request
    if way == "give" and question.measure is not None:
        return Given(draw(st.floats(*question.measure.possible)), "typed")
    if way == "give":
        choices = [choice for choice in question.choices if not choice.needs_reason]
        if question.about == "danger_now" and question.kind == "ask":
            choices = [choice for choice in choices if choice.id == "none"]
        return Given(draw(st.sampled_from(choices)).id, "typed")
    plain: dict[str, Reply] = {
        "back": Control.BACK,
        "note": Note("x"),
        "unknown": Control.UNKNOWN,
        "cannot": Unable("x"),
    }
    return plain[way]


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(st.data())
def test_whatever_is_replied_the_kept_events_are_the_session_and_it_ends(data: st.DataObject) -> None:
    session, memory = opened(Session(models())), Memory()
    start = list(session.events)

    class Person(ListedPerson):
        def put(self, question: Question, shown: Callable[[], None]) -> Reply:
            self.asked.append(question)
            if len(self.asked) > 150:
                return Control.LEAVE
            shown()
            reply: Reply = data.draw(st.composite(lambda draw: reply_to(question, draw))())
            return reply

    DialogueManager(session, Person([]), memory, clock, PaperSheet).run()
    again = Session(models(), [*start, *memory.events])
    assert again.events == session.events
    assert again.job == session.job
    assert again.next() == session.next()

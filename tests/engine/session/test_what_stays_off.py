"""What was found and keeps the plant off stays found: nothing that is no repair of it lifts it, whatever is said."""

from __future__ import annotations

import pytest

from engine.session.journal import Event
from engine.session.keeping_off import kept_off_by, mends
from engine.session.session import Session
from interview.dialogue.manager import DialogueManager
from interview.messages import Control, Given, Note, Request
from tests.interview.people import Memory, PaperSheet, clock, opened, whole
from tests.shipped import knowledge, models

AT = "2026-05-04T09:30:00Z"
IN_THE_FIELD = (("role", "field"), ("danger_now", "none"), ("unit", "default"), ("complaint", "no-output"))
ISOLATED = Event("made_safe", AT, about="cell_lead")


def found(*more: tuple[str, str]) -> Session:
    """A technician's job with the plant isolated and these findings."""
    session = opened(Session(models()), *IN_THE_FIELD)
    session.record(ISOLATED)
    for about, value in more:
        session.record(Event("answered", AT, about=about, value=value))
    return session


@pytest.mark.parametrize("kind", ["dont_know", "cant", "deferred"])
def test_burnt_stays_burnt_where_it_is_asked_again_and_not_answered(kind: str) -> None:
    session = found(("cell_lead", "burnt"))
    session.record(Event(kind, AT, about="cell_lead", reason="seized"))  # type: ignore[arg-type]
    assert kept_off_by(knowledge(), session.job) == ("cell_lead",)
    session.record(Event("corrected", AT, about="cell_lead", value="sound"))
    assert kept_off_by(knowledge(), session.job) == ()


def test_a_danger_is_not_taken_back_by_that_nobody_has_looked() -> None:
    session = found()
    for value in ("tingle", "none_known"):
        session.record(Event("corrected", AT, about="danger_now", value=value))
        assert session.job.danger == "tingle"
    session.record(Event("corrected", AT, about="danger_now", value="none"))
    assert session.job.danger is None


def test_another_repair_does_not_make_it_forgotten() -> None:
    session = found(("pack_inside", "burnt"))
    for repair in ("set_timers", "renew_cell_lead"):
        session.record(Event("repaired", AT, about=repair, value="done"))
        session.record(Event("verified", AT, about=repair, value="not_helped"))
        assert kept_off_by(knowledge(), session.job) == ("pack_inside",)


def test_a_repair_that_switches_on_waits_for_what_else_keeps_off() -> None:
    """Drying the pack ends in a reset; a burnt lead is renewed before that, and nothing of it switches on."""
    both = found(("pack_inside", "wet_or_insects"), ("cell_lead", "burnt"))
    assert mends(knowledge(), both.job) == ["renew_cell_lead"]
    both.record(Event("repaired", AT, about="renew_cell_lead", value="done"))
    assert "dry_power_pack" in mends(knowledge(), both.job)


def test_a_result_that_is_wanted_is_not_switched_on_for() -> None:
    session = found(("cell_lead", "burnt"))
    session.record(Event("repaired", AT, about="set_timers", value="done"))
    assert session.heeded(["set_timers", "acid_clean", "tested_salt"]) == ["tested_salt"]


def test_a_known_good_cell_that_is_wanted_waits_for_the_look_at_the_old_one() -> None:
    act = found().next(wanted=["swap_cell"])
    assert (act.kind, act.about) == ("ask", "cell_plates")


def test_a_known_good_cell_is_put_to_no_pack_before_the_old_one_was_metered_and_looked_at() -> None:
    """A pack that gives too much, or plates that touch, spoil the good one with it: common practice, no source."""
    session, before = opened(Session(models()), *IN_THE_FIELD), []
    while (act := session.next(wanted=["swap_cell"])).about != "swap_cell" or act.kind != "ask":
        before.append(act.about)
        kind = {"isolate": "made_safe", "switch_on": "switched_on"}.get(act.kind, "dont_know")
        session.record(Event(kind, AT, about=act.about))  # type: ignore[arg-type]
    assert before[0] == "cell_current"
    assert "cell_plates" in before


def test_danger_told_of_where_a_visit_ends_comes_before_the_sheet() -> None:
    person = whole([Control.FINISH, Request("say", "felt a tingle")])
    session = found(("cell_lead", "burnt"))
    talk = DialogueManager(session, person, Memory(), clock, PaperSheet)
    talk._taken_up = True
    while not session.job.danger:
        assert talk.step() is None
    assert talk.step() is not None
    assert [(question.kind, question.about) for question in person.asked[-2:]] == [
        ("plant", "plant"),
        ("confirm", "danger_now"),
    ]


def test_danger_told_of_where_something_is_asked_back_stops_that() -> None:
    person = whole([Request("ask", "salt"), Note("they say: felt a tingle")])
    session = opened(Session(models()), *IN_THE_FIELD)
    talk = DialogueManager(session, person, Memory(), clock, PaperSheet)
    for _ in range(2):
        talk.step()
    assert [question.about for question in person.asked[1:]] == ["which", "danger_now"]


def test_what_must_be_off_now_is_not_put_off() -> None:
    session = opened(Session(models()), *IN_THE_FIELD)
    session.record(Event("answered", AT, about="breaker", value="trips_again"))
    person = whole([Given("done")])
    DialogueManager(session, person, Memory(), clock, PaperSheet).step()
    assert (person.asked[0].about, person.asked[0].may_wait) == ("plant", False)


def test_nothing_is_asked_back_while_danger_stands() -> None:
    person = whole([Request("tried", "salt")])
    session = opened(Session(models()), *IN_THE_FIELD)
    session.record(Event("corrected", AT, about="danger_now", value="tingle"))
    talk = DialogueManager(session, person, Memory(), clock, PaperSheet)
    for _ in range(2):
        talk.step()
    assert [question.about for question in person.asked] == ["danger_now", "danger_now"]


def test_another_danger_told_of_while_one_is_found_safe_comes_first() -> None:
    person = whole([Given("done"), Given("found_safe"), Note("they say: felt a tingle")])
    session = opened(Session(models()), *IN_THE_FIELD)
    session.record(Event("corrected", AT, about="danger_now", value="burning_smell"))
    talk = DialogueManager(session, person, Memory(), clock, PaperSheet)
    for _ in range(3):
        talk.step()
    assert [question.kind for question in person.asked] == ["confirm", "close", "clear", "confirm"]

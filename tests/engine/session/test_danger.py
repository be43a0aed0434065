"""Dangers of a job: any answer may report one, it is made safe, found safe by whoever may, and stays as found."""

from __future__ import annotations

import json

import pytest

from engine.knowledge.model import RoleId
from engine.session.danger import CLEARERS, withdrawn
from engine.session.journal import Event, EventKind, event_from, event_line
from engine.session.session import Session
from tests.shipped import knowledge, models

AT, LATER, AT_LAST = "2026-05-04T09:00:00Z", "2026-05-04T09:20:00Z", "2026-05-04T11:00:00Z"
DANGERS = list(knowledge().dangers)
REPORTS = [
    (check.id, answer.id, answer.reports)
    for check in knowledge().checks.values()
    for answer in check.answers
    if answer.reports is not None
]


def said(about: str, value: str, kind: EventKind = "answered") -> Event:
    return Event(kind, AT, about=about, value=value)


def begun(role: RoleId, *more: Event) -> Session:
    """A job in the middle of its tree."""
    start = [said("role", role), said("danger_now", "none"), said("unit", "default"), said("complaint", "no-output")]
    return Session(models(), [*start, said("brought", "nothing"), *more])


@pytest.mark.parametrize(("check", "answer", "danger"), REPORTS)
@pytest.mark.parametrize("role", ["counter", "phone", "field"])
def test_an_answer_that_reports_a_danger_stops_everything_at_once(
    role: RoleId, check: str, answer: str, danger: str
) -> None:
    session = begun(role, said(check, answer))
    act = session.next()
    assert (act.kind, act.about) == ("make_safe", danger)
    assert act.cautions == knowledge().dangers[danger].cautions
    session.record(Event("made_safe", LATER, about="danger_now", value=danger))
    assert (session.next().kind, session.next().about, session.next().why) == ("conclude", "make_safe", "danger")


def test_dangers_are_reported_beside_the_question_for_danger_too() -> None:
    assert {"flow_sensor_contact", "flow_sensor_lead", "pack_heat"} <= {check for check, _, _ in REPORTS}


@pytest.mark.parametrize("danger", DANGERS)
def test_a_danger_said_in_words_stops_a_job_in_which_nobody_said_who_asks(danger: str) -> None:
    session = Session(models(), [Event("danger_reported", AT, about=danger, text="in their words")])
    assert (session.next().kind, session.next().about) == ("make_safe", danger)
    session.record(Event("made_safe", LATER, about="danger_now", value=danger))
    assert session.next().about == "role"


def test_each_of_two_dangers_is_made_safe_by_itself() -> None:
    session = begun("phone", said("danger_now", "tingle", "corrected"))
    session.record(Event("made_safe", LATER, about="danger_now", value="tingle"))
    session.record(Event("danger_reported", LATER, about="chlorine_smell", text="and it smells"))
    assert (session.next().kind, session.next().about) == ("make_safe", "chlorine_smell")
    assert not session.job.made_safe
    session.record(Event("made_safe", AT_LAST, about="danger_now", value="chlorine_smell"))
    assert [report.made_safe for report in session.job.reports] == [LATER, AT_LAST]


def test_a_supply_switched_off_for_work_makes_no_danger_safe() -> None:
    session = begun("field", said("danger_now", "tingle", "corrected"), Event("made_safe", AT, about="cell_plates"))
    assert not session.job.made_safe
    assert session.next().kind == "make_safe"


@pytest.mark.parametrize("role", ["counter", "phone", "field"])
@pytest.mark.parametrize("by", CLEARERS)
def test_a_danger_is_found_safe_only_by_whoever_may_say_so(role: RoleId, by: str) -> None:
    """Current is a licensed electrician's, at the pool also the technician's who removed the cause."""
    for danger in knowledge().dangers.values():
        report = next(answer for check, answer, told in REPORTS if told == danger.id and check == "danger_now")
        made = Event("made_safe", LATER, about="danger_now", value=danger.id)
        over = Event("danger_cleared", AT_LAST, about=danger.id, value=by, text="cause removed")
        session = begun(role, said("danger_now", report, "corrected"), made, over)
        electric = {"electrician", *(["technician"] if role == "field" else [])}
        may = by in (electric if danger.kind == "electric" else {"technician", "emergency"})
        assert (session.job.danger is None) is may
        assert (session.next().kind == "conclude") is not may
        if may:
            # Switched off from afar, and proved dead by nobody: that comes before any work.
            assert session.job.plant == "off"
            found = session.job.reports[0]
            assert (found.at, found.made_safe) == (AT, LATER)
            assert found.cleared is not None
            assert (found.cleared.at, found.cleared.by, found.cleared.how) == (AT_LAST, by, "cause removed")


def test_what_was_not_made_safe_is_not_found_safe() -> None:
    over = Event("danger_cleared", LATER, about="tingle", value="electrician", text="x")
    session = begun("phone", said("danger_now", "tingle", "corrected"), over)
    assert session.next().kind == "make_safe"


def test_a_danger_found_safe_that_is_reported_again_stands_again_beside_the_first() -> None:
    made = Event("made_safe", LATER, about="danger_now", value="tingle")
    over = Event("danger_cleared", AT_LAST, about="tingle", value="electrician", text="x")
    again = Event("danger_reported", AT_LAST, about="tingle", text="tingles again")
    session = begun("phone", said("danger_now", "tingle", "corrected"), made, over, again)
    assert len(session.job.reports) == 2
    assert session.next().kind == "make_safe"


def test_what_was_found_safe_stays_as_it_was_found_whatever_is_answered_afterwards() -> None:
    made = Event("made_safe", LATER, about="danger_now", value="tingle")
    over = Event("danger_cleared", AT_LAST, about="tingle", value="electrician", text="bonding renewed")
    for value in ("none", "none_known", "burning_smell"):
        session = begun("phone", said("danger_now", "tingle", "corrected"), made, over)
        kept = session.job.reports
        session.record(said("danger_now", value, "corrected"))
        assert session.job.reports[0] == kept[0]
        assert "tingle" not in {report.danger for report in session.job.standing}


@pytest.mark.parametrize("kind", ["corrected", "taken_back"])
def test_a_danger_that_was_corrected_no_longer_stands_and_is_not_forgotten(kind: EventKind) -> None:
    undo = said("danger_now", "none", "corrected") if kind == "corrected" else Event("taken_back", LATER)
    session = begun("phone", said("danger_now", "tingle", "corrected"), undo)
    assert session.job.danger is None
    assert session.next().kind != "make_safe"
    assert [report.danger for report in withdrawn(session.events, knowledge(), session.job.reports)] == ["tingle"]


def test_dont_know_takes_no_danger_back() -> None:
    session = begun("phone", said("danger_now", "tingle", "corrected"), Event("dont_know", AT, about="danger_now"))
    assert session.job.danger == "tingle"


def test_not_looked_for_is_no_none_and_no_evidence() -> None:
    none, mild = begun("phone"), begun("phone", said("danger_now", "none_known", "corrected"))
    assert (none.job.danger_unlooked, mild.job.danger_unlooked) == (False, True)
    assert mild.next().kind == none.next().kind == "ask"
    assert "danger_now" in none.job.readings
    assert "danger_now" not in mild.job.readings
    unsaid = begun("phone", Event("dont_know", AT, about="danger_now"))
    assert dict(mild.marginals()) == dict(unsaid.marginals())


def test_the_new_events_are_kept_and_read_back_and_name_what_there_is() -> None:

    over = Event("danger_cleared", AT, about="tingle", value="electrician", text="bonding renewed")
    told = Event("danger_reported", AT, about="tingle", text="got a shock")
    for event in (over, told):
        assert event_from(json.loads(event_line(event))) == event
    session = begun("phone")
    for wrong in (
        Event("danger_reported", AT, about="dragon"),
        Event("danger_cleared", AT, about="dragon", value="electrician"),
        Event("danger_cleared", AT, about="tingle", value="anybody"),
    ):
        with pytest.raises(ValueError, match=r"dragon|anybody"):
            session.record(wrong)


@pytest.mark.parametrize(("first", "second"), [(a, b) for a in DANGERS for b in DANGERS if a != b])
def test_a_danger_answered_takes_none_back_that_was_told_of_in_words(first: str, second: str) -> None:
    answer = next(each.id for each in knowledge().checks["danger_now"].answers if each.reports == second)
    session = begun("counter", Event("danger_reported", AT, about=first, text="in their words"))
    session.record(Event("made_safe", LATER, about="danger_now", value=first))
    session.record(said("danger_now", answer, "corrected"))
    assert {report.danger for report in session.job.standing} == {first, second}
    assert (session.next().kind, session.next().about) == ("make_safe", second)
    session.record(said("danger_now", "none", "corrected"))
    assert session.job.standing == ()

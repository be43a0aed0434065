"""Laws of the session, by random interviews: each test's name is the law."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.journal import Event
from engine.session import Act, Session
from tests.shipped import knowledge, models

AT = "2026-01-02T03:04:05Z"
KNOWLEDGE = knowledge()
MOST_STEPS = 120


def outcome(act: Act, draw: st.DrawFn) -> Event:
    """Something a person might do on an act."""
    if act.kind == "set_up":
        return Event("answered", AT, about=act.about, value=draw(st.sampled_from(act.options)))
    if act.kind == "isolate":
        return Event("made_safe", AT, about=act.about)
    if act.kind == "switch_on":
        return Event("switched_on", AT, about=act.about)
    if act.kind == "make_safe":
        return Event("made_safe", AT, about="danger_now")
    if act.kind == "perform":
        return Event("repaired", AT, about=act.about, value=draw(st.sampled_from(["done", "not_done", "could_not"])))
    if act.kind == "verify":
        return Event("verified", AT, about=act.about, value=draw(st.sampled_from(["helped", "not_helped", "later"])))
    return _said(act, draw)


def _said(act: Act, draw: st.DrawFn) -> Event:
    check = KNOWLEDGE.checks[act.about]
    how = draw(st.sampled_from(["answer", "answer", "answer", "dont_know", "cant"]))
    if how == "dont_know":
        return Event("dont_know", AT, about=act.about)
    if how == "cant" and act.about != "danger_now":
        return Event("cant", AT, about=act.about, reason="will not")
    if check.is_number:
        assert check.possible is not None
        return Event("answered", AT, about=act.about, value=draw(st.floats(*check.possible)))
    answers = [a.id for a in check.answers]
    if act.about == "danger_now":
        answers = ["none"] * 8 + answers
    return Event("answered", AT, about=act.about, value=draw(st.sampled_from(answers)))


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(st.data())
def test_every_interview_ends_replays_to_the_same_state_and_is_safe(data: st.DataObject) -> None:
    session = Session(models())
    asked: list[str] = []
    for step in range(MOST_STEPS):
        act = session.next()
        if act.kind == "conclude":
            break
        if act.kind == "ask":
            check = KNOWLEDGE.checks[act.about]
            assert session.job.role == "counter" or check.plant in ("any", session.job.plant), "looked in with power on"
            assert act.about not in asked or act.about in _stale(session), "asked twice without reason"
            asked.append(act.about)
        if act.kind == "isolate":
            assert "isolate_and_prove_dead" in act.cautions
        if act.kind == "perform":
            assert set(KNOWLEDGE.repairs[act.about].cautions) <= set(act.cautions)
        session.record(data.draw(st.composite(lambda draw, act=act: outcome(act, draw))()))
        assert step < MOST_STEPS - 1, "an interview without end"
    again = Session(models(), session.events)
    assert again.job == session.job
    assert again.next() == session.next()
    if session.job.complaint is not None:
        assert abs(sum(share for _, share in session.hypotheses()) - 1.0) < 1e-9


def _stale(session: Session) -> set[str]:
    return {check for repair in session.job.verified for check in KNOWLEDGE.repairs[repair].ask_again}

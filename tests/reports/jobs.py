"""Jobs for the tests of sheets: by hand from events, from worked calls, and at random."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from functools import cache

from hypothesis import strategies as st

from engine.evaluation.simulate import run_call
from engine.knowledge.model import DANGER_CHECK, Knowledge, RoleId
from engine.session.journal import Event
from engine.session.session import Session
from tests.shipped import as_if_shipped, visible_calls

DATE = "2026-05-04"
AT = "2026-05-04T09:00:00Z"


def opened(role: RoleId, complaint: str, unit: str = "default", brought: str = "nothing") -> list[Event]:
    """How a call begins."""
    return [
        Event("opened", AT, value="job-7", text=as_if_shipped().knowledge.fingerprint),
        Event("answered", AT, about="role", value=role),
        Event("answered", AT, about=DANGER_CHECK, value="none"),
        Event("answered", AT, about="unit", value=unit),
        Event("answered", AT, about="complaint", value=complaint),
        Event("answered", AT, about="brought", value=brought),
    ]


def answers(**given: str | float) -> list[Event]:
    """Answers by check."""
    return [Event("answered", AT, about=check, value=value) for check, value in given.items()]


def job(*events: Event) -> Session:
    """The job that these events amount to."""
    return Session(as_if_shipped(), events)


@cache
def called(name: str, role: RoleId | None = None) -> Session:
    """A worked call, by its name, interviewed to the end; with `role`, as if another person had taken it."""
    call = next(call for call in visible_calls() if call.name == name)
    facts = {DANGER_CHECK: "none", **call.facts}
    return run_call(as_if_shipped(), dataclasses.replace(call, facts=facts, role=role or call.role)).session


@st.composite
def jobs(draw: st.DrawFn) -> Session:
    """Any job at any moment: set-up left out or done, checks answered or not, repairs tried, notes, closed or open."""
    known = as_if_shipped().knowledge
    events = [Event("opened", AT, value=draw(st.text(max_size=12)), text=known.fingerprint)]
    events += list(_set_up(draw, known))
    for check in draw(st.lists(st.sampled_from(sorted(set(known.checks) - {DANGER_CHECK})), max_size=12, unique=True)):
        events.append(_said(draw, known, check))
    for repair in draw(st.lists(st.sampled_from(sorted(known.repairs)), max_size=2, unique=True)):
        events += list(_repaired(draw, repair))
    events += [Event("noted", AT, text=note) for note in draw(st.lists(st.text(max_size=60), max_size=2))]
    if draw(st.booleans()):
        events.append(Event("closed", AT, value="send_technician", reason=draw(st.text(max_size=30))))
    return Session(as_if_shipped(), events)


def _set_up(draw: st.DrawFn, known: Knowledge) -> Iterator[Event]:
    """Set-up as far as it came; None is "don't know"."""
    said: dict[str, list[str | None]] = {
        "role": [*known.roles],
        DANGER_CHECK: [None, *["none"] * 6, *(answer.id for answer in known.checks[DANGER_CHECK].answers)],
        "unit": [None, *known.units],
        "complaint": [*known.trees],
        "brought": [None, "nothing", "water_sample", "cell", "water_sample+cell"],
    }
    for about in list(said)[: draw(st.sampled_from([5] * 9 + [0, 1, 2, 3, 4]))]:
        value = draw(st.sampled_from(said[about]))
        yield Event("dont_know" if value is None else "answered", AT, about=about, value=value)


def _said(draw: st.DrawFn, known: Knowledge, name: str) -> Event:
    check = known.checks[name]
    how = draw(st.sampled_from(["answered"] * 5 + ["dont_know", "cant"]))
    if how == "cant":
        return Event("cant", AT, about=name, reason=draw(st.text(max_size=40)))
    if how == "dont_know":
        return Event("dont_know", AT, about=name)
    by = draw(st.sampled_from(["", "memory", "strip"]))
    if check.possible is None:
        return Event("answered", AT, about=name, value=draw(st.sampled_from([a.id for a in check.answers])), by=by)
    return Event(
        "answered", AT, about=name, value=draw(st.floats(*check.possible)), text=draw(st.text(max_size=20)), by=by
    )


def _repaired(draw: st.DrawFn, repair: str) -> Iterator[Event]:
    outcome = draw(st.sampled_from(["tried", "done", "done", "could_not", "not_done"]))
    if outcome == "tried":
        yield Event("already_tried", AT, about=repair)
        return
    yield Event("repaired", AT, about=repair, value=outcome, reason=draw(st.text(max_size=20)))
    if outcome == "done" and draw(st.booleans()):
        yield Event("verified", AT, about=repair, value=draw(st.sampled_from(["helped", "not_helped", "later"])))

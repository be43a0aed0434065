"""Laws of the papers, over every worked call as it stands once all its facts are told: each test's name is the law."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from typing import get_args

import pytest

from engine.evaluation.calls import WorkedCall, read_calls
from engine.knowledge.model import DANGER_CHECK
from engine.session.journal import Event
from engine.session.session import Session
from reports.document import Audience
from reports.sheets.choose import sheets_of, view_for
from reports.view.known import quantity
from reports.view.model import JobView
from tests.reports.jobs import AT, DATE
from tests.reports.test_sheet_laws import texts_of
from tests.shipped import as_if_shipped

pytestmark = [
    pytest.mark.e2e,
    pytest.mark.no_cover,
]  # hundreds of papers through branches that the kept sheets take too

READERS: tuple[Audience, ...] = get_args(Audience)
EXPONENT = re.compile(r"\d[eE][+-]?\d")


@cache
def calls() -> tuple[WorkedCall, ...]:
    """Every worked call that is shipped."""
    known = as_if_shipped().knowledge
    shipped = [file for file in (files("faults") / "calls").iterdir() if file.name.endswith(".yaml")]
    return tuple(call for file in shipped for call in read_calls(file.name, file.read_bytes(), known))


def told(call: WorkedCall) -> Session:
    """The job once all that a call knows was told at once."""
    said = {
        "role": call.role,
        DANGER_CHECK: "none",
        "unit": call.unit,
        "complaint": call.complaint,
        "brought": "+".join(call.brought) or "nothing",
        **call.facts,
    }
    opened = Event("opened", AT, value=call.name, text=as_if_shipped().knowledge.fingerprint)
    return Session(as_if_shipped(), [opened, *(Event("answered", AT, about=a, value=v) for a, v in said.items())])


def seen(call: WorkedCall, reader: Audience) -> tuple[str, Session, JobView, Audience]:
    """A call with its view for a reader."""
    session = told(call)
    return call.name, session, view_for(session, DATE, reader, act=session.conclude()), reader


EVERY = 4
"""Of the shipped calls every fourth is tried here; all of them held once."""


@cache
def papers() -> tuple[tuple[str, Session, JobView, Audience], ...]:
    """Some calls, each with its view for each reader."""
    return tuple(seen(call, reader) for call in calls()[::EVERY] for reader in READERS)


def test_no_note_on_the_water_goes_by_a_test_that_the_likeliest_cause_doubts() -> None:
    """The figure of such a test stands in no order: what it would ask for waits for a new one."""
    known, wrong, doubted = as_if_shipped().knowledge, [], set()
    for name, session, view, reader in papers():
        cause = known.causes.get(view.causes[0].cause) if view.causes else None
        for check in () if cause is None else cause.distrusts:
            doubted.add(check)
            value = session.job.answers[check].reading.value if check in session.job.answers else None
            if not isinstance(value, float):
                continue
            shown = quantity(value, known.checks[check].unit or "", "metric")
            wrong += [(name, reader, line) for line in (*view.advice.water, *view.advice.answers) if shown in line]
    assert wrong == []
    assert "tested_salt" in doubted


def test_no_figure_on_a_paper_has_an_exponent() -> None:
    """What rounds to nothing is not told: 1.8e-14 kg of salt is the rounding of a sum."""
    wrong = [
        (name, reader, text)
        for name, session, view, reader in papers()
        for text in texts_of(sheets_of(view, session.job.role, reader, annex=True))
        if EXPONENT.search(text)
    ]
    assert wrong == []

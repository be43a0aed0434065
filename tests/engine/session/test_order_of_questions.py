"""What was brought comes first, and what is told in a line is no question asked."""

from __future__ import annotations

import pytest

from engine.session.journal import Event
from engine.session.session import Session
from interview.dialogue.standing import progress_line
from tests.interview.people import opened
from tests.shipped import knowledge, models

AT = "2026-05-04T09:30:00Z"


def counter(complaint: str, brought: str) -> Session:
    start = (("role", "counter"), ("danger_now", "none"), ("complaint", complaint), ("brought", brought))
    return opened(Session(models()), *start)


@pytest.mark.parametrize(
    ("complaint", "brought", "first"),
    [
        ("no-output", "cell", "cell_plates"),
        ("low-salt", "cell", "cell_plates"),
        ("low-salt", "water_sample", "tested_salt"),
        ("high-salt", "water_sample", "tested_salt"),
        ("too-much-chlorine", "water_sample", "free_chlorine"),
    ],
)
def test_what_was_brought_is_looked_at_first(complaint: str, brought: str, first: str) -> None:
    assert counter(complaint, brought).next(wanted=[]).about == first


def test_a_sample_is_tested_before_anything_else_is_asked() -> None:
    act = counter("no-output", "water_sample").next(wanted=[])
    assert knowledge().checks[act.about].brought == "water_sample"


@pytest.mark.parametrize("complaint", list(knowledge().trees))
def test_where_nothing_was_brought_the_order_is_as_ever(complaint: str) -> None:
    session = counter(complaint, "nothing")
    assert session.next(wanted=[]).about == session.next().about


def test_what_is_told_in_a_line_counts_as_no_question() -> None:
    session = counter("no-output", "nothing")
    session.record(Event("answered", AT, about="tested_salt", value=3000.0, beside="line"))
    session.record(Event("deferred", AT, about="ph", beside="line"))
    assert session.job.asked == []
    assert progress_line(session, counted=True).startswith("Question 1 of")
    session.record(Event("answered", AT, about="water_look", value="clear"))
    assert session.job.asked == ["water_look"]
    assert progress_line(session, counted=True).startswith("Question 2 of")

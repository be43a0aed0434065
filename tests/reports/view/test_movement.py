"""How the ranking moved, where the complaint turned out to be another: the way begins at the one that stands."""

from __future__ import annotations

import itertools

import pytest

from engine.session.journal import Event
from reports.view import job_view
from tests.reports.jobs import AT, DATE, answers, job, opened
from tests.shipped import knowledge

PAIRS = list(itertools.permutations(knowledge().trees, 2))
BEFORE = answers(cell_plates="white_scale", months_since_clean=30.0)
BEHIND = answers(pump_running="running", tested_salt=2000.0)


@pytest.mark.parametrize(("first", "stands"), PAIRS, ids=lambda name: name)
def test_a_changed_complaint_leaves_the_movement_of_the_one_that_stands(first: str, stands: str) -> None:
    changed = Event("corrected", AT, about="complaint", value=stands)
    session = job(*opened("field", first), *BEFORE, changed, *BEHIND)
    movement = job_view(session, DATE).movement
    if movement is None:
        return
    shares = session.marginals()
    assert {line.cause: line.probabilities[-1] for line in movement.lines} == {
        line.cause: pytest.approx(shares[line.cause]) for line in movement.lines
    }
    assert 1 <= len(movement.steps) <= len(BEHIND)


def test_such_a_movement_is_told_at_least_once() -> None:
    told = [
        job_view(
            job(*opened("field", first), *BEFORE, Event("corrected", AT, about="complaint", value=stands), *BEHIND),
            DATE,
        ).movement
        for first, stands in PAIRS[:6]
    ]
    assert any(told)

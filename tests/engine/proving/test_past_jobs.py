"""Kept jobs interviewed again: their answers are those of the job, and what is saved is what two runs differ by."""

from __future__ import annotations

import pytest

from engine.evaluation.scoring import score
from engine.knowledge.model import DANGER_CHECK
from engine.proving.comparing import Comparison, outcome_of_score
from engine.proving.numbers import Number, with_number
from engine.proving.past_jobs import call_of_job, saved
from engine.session.models import Models
from tests.drawn_jobs import drawn_jobs
from tests.shipped import knowledge, models

pytestmark = pytest.mark.e2e

TREE = "low-salt"


def test_a_job_becomes_a_call_with_its_own_answers() -> None:
    for job, events in drawn_jobs(models(), TREE, 12, 3, untold=0.5):
        call = call_of_job(models(), job, events)
        assert call is not None
        told = {event.about: event.value for event in events if event.kind == "answered"}
        assert (call.role, call.complaint) == (told.pop("role"), told.pop("complaint"))
        assert dict(call.facts) == {name: value for name, value in told.items() if name not in ("unit", DANGER_CHECK)}
        was = [str(event.value) for event in events if event.kind == "recorded"]
        assert (call.causes is None) == (not was)


def test_what_is_saved_is_what_the_two_runs_take_with_what_was_so() -> None:
    """What an edit saves of a job is what taking it back costs."""
    made = Models(with_number(knowledge(), Number("tree", TREE, ("of_100_calls", "cell_worn")), 0.6))
    held = Comparison(models(), made, lambda each, call: outcome_of_score(score(each, call), {}))
    back = Comparison(made, models(), lambda each, call: outcome_of_score(score(each, call), {}))
    found = 0
    for job, events in drawn_jobs(models(), TREE, 12, 5):
        call = call_of_job(models(), job, events)
        assert call is not None
        moved = held.moved(call, held.look(made, call))
        if moved is None or (minutes := saved(moved)) is None:
            continue
        found += 1
        other = back.moved(call, back.look(models(), call))
        assert other is not None
        assert saved(other) == -minutes
    assert found

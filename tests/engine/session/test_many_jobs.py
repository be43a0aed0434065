"""The beliefs of many jobs together against each by itself, wherever they stand and whatever was repaired."""

from __future__ import annotations

import numpy as np

from engine.session.journal import Event
from engine.session.many_jobs import beliefs
from engine.session.session import Session
from tests.drawn_jobs import drawn_jobs
from tests.shipped import models

TREES = ("low-salt", "no-output", "flow-fault")


def some_jobs() -> list[Session]:
    """Drawn jobs of three trees in turn, as asked, after a repair in vain, after one that helped, and read anew."""
    found = []
    for tree in TREES:
        for number, (_, events) in enumerate(drawn_jobs(models(), tree, 8, seed=5)):
            session = Session(models(), [event for event in events if event.kind in ("opened", "answered")])
            repair = session.planner.order(session.belief)[0][0].repair
            if number % 4:
                session.record(Event("repaired", "", about=repair, value="done"))
                session.record(Event("verified", "", about=repair, value="not_helped" if number % 4 < 3 else "helped"))
            again = models().knowledge.repairs[repair].ask_again
            if number % 4 == 2 and (names := [name for name in again if name in session.job.stale]):
                session.record(Event("answered", "", about=names[0], value=session.job.stale[names[0]].reading.value))
            found.append(session)
    return found


def test_many_jobs_are_believed_as_each_by_itself() -> None:
    jobs = some_jobs()
    for together, job in zip(beliefs(jobs), jobs, strict=True):
        assert np.abs(together - job.belief).max() < 1e-12


def test_one_job_led_on_from_event_to_event_is_many() -> None:
    for job in some_jobs()[::3]:
        with_belief = [then.belief for _, then in job.along() if then.job.complaint is not None]
        together = beliefs(then for _, then in job.along() if then.job.complaint is not None)
        assert len(together) == len(with_belief)
        assert all(np.abs(one - two).max() < 1e-12 for one, two in zip(together, with_belief, strict=True))


def test_no_jobs_are_believed_nothing() -> None:
    assert beliefs([]) == []

"""Kept jobs as worked calls: what was answered then, interviewed again, and what turned out to be so."""

from __future__ import annotations

from collections.abc import Sequence

from engine.evaluation.calls import WorkedCall
from engine.knowledge.model import DANGER_CHECK, Knowledge, frozen
from engine.knowledge.required import DEFAULT_UNIT
from engine.learning.replayed import turned_out_of
from engine.proving.comparing import Moved
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.outcome import outcome_of
from engine.session.record import recorded_by_hand
from engine.session.session import Session


def call_of_job(models: Models, name: str, events: Sequence[Event]) -> WorkedCall | None:
    """A kept job as a worked call: what was answered before the repair that helped, and the causes told at its close.

    What nobody answered then nobody answers now. None where it has no belief to speak of: no complaint or role, a
    danger, or a tree that is gone.
    """
    session = Session(models, events)
    if session.job.complaint not in models.knowledge.trees or session.job.role is None:
        return None
    outcome = outcome_of(session, None)
    if not outcome.judges:
        return None
    job = outcome.judged.job
    assert job.complaint is not None
    assert job.role is not None
    return WorkedCall(
        name, job.role, job.complaint, job.unit or DEFAULT_UNIT, job.brought if job.role == "counter" else (),
        frozen({check: each.reading.value for check, each in job.answers.items() if _known(models.knowledge, check)}),
        tuple(check for check in job.cannot if check in models.knowledge.checks),
        turned_out_of(models.knowledge, recorded_by_hand(outcome.standing).causes),
    )  # fmt: skip


def _known(knowledge: Knowledge, check: str) -> bool:
    return check in knowledge.checks and check != DANGER_CHECK


def saved(one: Moved) -> float | None:
    """Minutes that a job would have taken less: questions, and what was decided, as it turned out; below 0 it costs.

    None where nobody said what it was, or the trees do not know it.
    """
    if one.before is None or one.before.after is None or one.after.after is None:
        return None
    return one.before.minutes + one.before.after - one.after.minutes - one.after.after

"""The complaint that what was answered tells by itself, where nobody has said one."""

from __future__ import annotations

from engine.knowledge.model import Knowledge
from engine.session.job import Job
from engine.session.machine import answer_of


def complaint_told(knowledge: Knowledge, job: Job) -> tuple[str, str] | None:
    """The id of the complaint, and of the check whose answer tells it; None where none is told, or more than one."""
    told = {
        tree.id: check
        for tree in knowledge.trees.values()
        for check, answers in tree.told_by.items()
        if answer_of(knowledge, job, check) in answers
    }
    return next(iter(told.items())) if len(told) == 1 else None

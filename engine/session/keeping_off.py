"""What must stay off, and what comes before a work: pure look-ups over a job and its knowledge."""

from __future__ import annotations

from engine.knowledge.model import Check, Knowledge, Repair, reader_of
from engine.session.job import Job

_AS_GOOD_AS = 0.2
"""A cause that shows a finding this much more seldom than the one that shows it most is not behind it: judgement."""


def kept_off_by(knowledge: Knowledge, job: Job) -> tuple[str, ...]:
    """The checks whose answers keep the plant off: burnt, wet, bridged, trips again, and not mended since."""
    return tuple(
        name
        for name, answered in job.answers.items()
        if name in knowledge.checks
        and name not in job.mended
        and knowledge.checks[name].keeps_off(answered.reading.value)
    )


def energises(check: Check, job: Job) -> bool:
    """Whether somebody who makes this check here switches something on, or needs it on."""
    if job.role is None or job.role == "counter":
        # At a counter it is only remembered.
        return False
    return reader_of(job.role) in check.work.energised_by or (check.plant == "running" and job.plant != "running")


def mends(knowledge: Knowledge, job: Job) -> list[str]:
    """The repairs at the pool that mend something of what keeps the plant off.

    One in which something is switched on comes last: not while anything else is still to be mended.
    """
    kept = kept_off_by(knowledge, job)
    if job.role != "field" or not kept:
        return []
    lifting = [lifted_by(knowledge, check, job) for check in kept]
    mended = {r.id: sum(not causes.isdisjoint(r.cures) for causes in lifting) for r in knowledge.repairs.values()}
    return [
        name
        for name, found in mended.items()
        if found and (found == len(kept) or "technician" not in knowledge.repairs[name].work.energised_by)
    ]


def waited_for(knowledge: Knowledge, job: Job, work: Check | Repair) -> list[str]:
    """The checks that a work waits for and that have not had their turn, in their order."""
    return [name for name in work.waits_for if not job.settled(name) and name in knowledge.checks]


def lifted_by(knowledge: Knowledge, check: str, job: Job) -> frozenset[str]:
    """The causes whose cure mends what an answer that stands has shown: those that show it.

    Beyond the usual, and not far more seldom than another does: a pack that is dried is not one that was burnt.
    """
    if check not in job.answers or check not in knowledge.checks:
        return frozenset()
    answer = str(job.answers[check].reading.value)
    shown = _shown(knowledge, check, answer, job)
    least = max(knowledge.checks[check].usual.get(answer, 0.0), _AS_GOOD_AS * max(shown.values(), default=0.0))
    return frozenset(cause for cause, share in shown.items() if share > least)


def _shown(knowledge: Knowledge, check: str, answer: str, job: Job) -> dict[str, float]:
    """How often each cause that shows an answer shows it, here or everywhere."""
    tree = knowledge.trees.get(job.complaint or "")
    shown = {}
    for name, cause in knowledge.causes.items():
        share = cause.shows[check].get(answer, 0.0) if check in cause.shows else 0.0
        if tree is not None and check in (here := tree.here.get(name, {})):
            share = max(share, here[check].get(answer, 0.0))
        if share:
            shown[name] = share
    return shown

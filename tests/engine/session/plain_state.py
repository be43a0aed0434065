"""Where a job stands, found without the machine: from what the job is now, one question after the other."""

from __future__ import annotations

from engine.knowledge.model import Knowledge
from engine.session.availability import may_say
from engine.session.job import Job, effective
from engine.session.journal import Event


def plain_state(knowledge: Knowledge, job: Job, events: list[Event]) -> str:
    """The state by a plain chain of questions, whatever way led there."""
    if job.closed:
        ended = [event.kind for event in effective(events) if event.kind in ("closed", "handed_on")]
        return ended[0]
    if job.danger is not None and not job.made_safe:
        return "making_safe"
    if job.role is None:
        return "opening"
    if job.danger is not None:
        return "made_safe"
    if job.danger_open:
        return "opening"
    if (job.role == "field" and job.unit is None) or job.complaint is None:
        return "opening"
    if job.role == "counter" and not job.brought_said:
        return "opening"
    return _of_repairs(job) or _of_steps(knowledge, job) or _of_choice(knowledge, job, events[-1])


def _of_repairs(job: Job) -> str | None:
    if job.awaiting is not None:
        return "waiting" if job.awaiting in job.waiting else "verifying"
    outcomes = list(job.verified.values())
    return "solved" if "helped" in outcomes else "waiting" if "later" in outcomes else None


def _of_steps(knowledge: Knowledge, job: Job) -> str | None:
    """The first written step whose check has not had its turn, going where the answers lead."""
    steps = knowledge.trees[job.complaint or ""].steps
    step = next(iter(steps.values()), None)
    while step is not None and step.ask is not None:
        if not job.settled(step.ask) and may_say(knowledge, job, step.ask):
            return step.id
        said = job.answers[step.ask].reading.value if step.ask in job.answers else None
        goal = step.then.get(said, step.otherwise) if isinstance(said, str) else step.otherwise
        step = steps.get(goal or "")
    return None


def _of_choice(knowledge: Knowledge, job: Job, last: Event) -> str:
    switched = last.kind in ("made_safe", "switched_on") and job.role == "field" and last.about in knowledge.repairs
    return "repairing" if switched and last.about not in (*job.repaired, *job.left) else "choosing"

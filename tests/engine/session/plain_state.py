"""Where a job stands, found without the machine: from what the job is now, one question after the other."""

from __future__ import annotations

from engine.knowledge.model import Check, Knowledge
from engine.session.availability import may_say
from engine.session.job import Job
from engine.session.journal import Event
from engine.session.taken_back import effective
from tests.shipped import knowledge as shipped_knowledge

DEFAULT = shipped_knowledge().units["default"]


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
        if said is not None and not isinstance(said, str):
            said = next(name for name, _, end in plain_bands(knowledge.checks[step.ask]) if end is None or said < end)
        goal = step.otherwise if said is None else step.then.get(said, step.otherwise)
        step = steps.get(goal or "")
    return None


def plain_bands(check: Check) -> list[tuple[str, float, float | None]]:
    """The bands of a number as its default unit has them: the middle of each, and where it ends."""
    assert check.possible is not None
    ends = [None if band.under is None else band.under.value(DEFAULT) for band in check.bands]
    starts = [check.possible[0], *(end or 0.0 for end in ends[:-1])]
    return [
        (band.id, (start + (check.possible[1] if end is None else end)) / 2, end)
        for band, start, end in zip(check.bands, starts, ends, strict=True)
    ]


def _of_choice(knowledge: Knowledge, job: Job, last: Event) -> str:
    switched = last.kind in ("made_safe", "switched_on") and job.role == "field" and last.about in knowledge.repairs
    return "repairing" if switched and last.about not in (*job.repaired, *job.left) else "choosing"

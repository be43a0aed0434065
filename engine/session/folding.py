"""How events become the state of a job: each kind of event in one place, folded in their order."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from engine.findings.evidence import Observation
from engine.knowledge.model import DANGER_CHECK, Knowledge, RoleId
from engine.knowledge.required import DEFAULT_UNIT
from engine.session import danger
from engine.session.job import Answered, Job
from engine.session.journal import Event, EventKind
from engine.session.keeping_off import lifted_by
from engine.session.readings import settled_on
from engine.session.taken_back import effective
from engine.session.validation import as_said, usable


def replay(events: Sequence[Event], knowledge: Knowledge) -> Job:
    """The job that these events amount to. Replaying a list and its continuation one by one gives the same job."""
    job = Job()
    for event in effective(events):
        fold(job, event, knowledge)
    return job


def fold(job: Job, event: Event, knowledge: Knowledge) -> None:
    """Bring one event that stands into a job. One that an older or another knowledge was told stands as a note."""
    if usable(event, knowledge):
        _bring_in(job, event, knowledge)
        return
    job.set_aside.append(event)
    job.notes.append(as_said(event))
    if event.kind == "danger_reported" or event.about == DANGER_CHECK:
        # A danger that has no name any more is still one: whether there is any is asked anew.
        job.danger_said = job.danger_unsaid = False
    if event.kind in ("handed_on", "closed"):
        # However it was called: what was closed is closed.
        _bring_in(job, replace(event, value=None), knowledge)


def _bring_in(job: Job, event: Event, knowledge: Knowledge) -> None:
    _BRINGS[event.kind](job, event, knowledge)


def _open(job: Job, event: Event, _: Knowledge) -> None:
    job.id, job.fingerprint = str(event.value or ""), event.text


def _note(job: Job, event: Event, knowledge: Knowledge) -> None:
    job.notes.append(event.text)
    if event.about in knowledge.checks:
        job.read_no_more.add(event.about)


def _leave(_job: Job, _event: Event, _knowledge: Knowledge) -> None:
    """What is recorded for papers and bill changes nothing of the job."""


def _find_part(job: Job, event: Event, _: Knowledge) -> None:
    job.parts_found[event.about] = event


def _close(job: Job, event: Event, _: Knowledge) -> None:
    job.decision = str(event.value or "") or job.decision
    job.closed = True
    job.waiting.clear()


def _danger(job: Job, event: Event, knowledge: Knowledge) -> None:
    """A danger said in words at any time, or found safe."""
    if event.kind == "danger_reported":
        job.reports = danger.told_of(job.reports, event)
        job.danger_said, job.danger_unsaid = True, False
        job.no_danger_untrue = _answered_none(job, knowledge)
    else:
        job.reports = danger.cleared(job.reports, event, knowledge, job.role)


def _plant(job: Job, event: Event, _: Knowledge) -> None:
    """The supply was switched, found or left in a state; in another visit nobody knows what it is now."""
    job.left_as = None
    match event.kind:
        case "made_safe":
            job.reports = danger.made_safe(job.reports, event)
            # In danger it is switched off from afar, and nobody goes near to prove it dead.
            job.plant = "off" if event.about == DANGER_CHECK else "isolated"
        case "switched_on":
            job.plant = "running"
        case "resumed":
            # What is in the van is known for the day.
            job.parts_found = {part: said for part, said in job.parts_found.items() if said.at[:10] == event.at[:10]}
            job.plant = "running" if job.plant == "running" else "unknown"
        case "found" if event.value == "unknown":
            job.plant = "unknown"
        case "found":
            job.plant = "running" if event.value == "running" else "off"
        case _:
            job.left_as = str(event.value)
            job.plant = "running" if event.value == "on" else "off"


def _repair(job: Job, event: Event, knowledge: Knowledge) -> None:
    job.waiting.pop(event.about, None)
    if event.kind == "repaired" and event.value == "done" and event.about in knowledge.repairs:
        cures = knowledge.repairs[event.about].cures
        job.mended |= {check for check in job.answers if not lifted_by(knowledge, check, job).isdisjoint(cures)}
    match event.kind:
        case "already_tried":
            job.repaired[event.about] = "done"
            job.verified[event.about] = "not_helped"
        case "repaired":
            job.repaired[event.about] = str(event.value)
            job.awaiting = event.about if event.value == "done" else None
        case _:
            job.verified[event.about] = str(event.value)
            job.awaiting = None
            _drop_stale(job, event.about, knowledge)


def _answer(job: Job, event: Event, knowledge: Knowledge) -> None:
    match event.about:
        case "role":
            job.role = _role(event.value)
        case "unit":
            job.unit, job.unit_assumed = str(event.value), False
        case "complaint":
            job.complaint = str(event.value)
        case "brought":
            job.brought = tuple(part for part in str(event.value).split("+") if part != "nothing")
            job.brought_said = True
        case check:
            job.reports = danger.answered(job.reports, event, knowledge)
            if check == DANGER_CHECK:
                job.danger_said, job.danger_unsaid = True, False
                job.danger_unlooked = knowledge.checks[check].meaning(event.value) == "not_looked_for"
            value = event.value if isinstance(event.value, str) else float(event.value or 0.0)
            job.mended.discard(check)
            job.read_no_more.discard(check)
            answered = Answered(check, Observation(value, event.by), event.text, event.at)
            again = event.kind == "answered" and not event.beside and check in job.answers
            job.read[check] = (*job.read.get(check, ()), answered) if again else (answered,)
            job.answers[check] = settled_on(knowledge.checks[check], job.read[check])
            if check == DANGER_CHECK or knowledge.checks[check].danger_of(value) is not None:
                job.no_danger_untrue = check != DANGER_CHECK and _answered_none(job, knowledge)
            _no_longer_open(job, check)
            _had_its_turn(job, event)


def _answered_none(job: Job, knowledge: Knowledge) -> bool:
    """Whether the question for danger has an answer that reports none."""
    said = job.answers.get(DANGER_CHECK)
    return said is not None and knowledge.checks[DANGER_CHECK].danger_of(said.reading.value) is None


def _role(value: str | float | None) -> RoleId:
    match value:
        case "counter" | "phone" | "field":
            return value
        case _:
            raise ValueError(f"{value!r} is not a role")


def _unknown(job: Job, event: Event, knowledge: Knowledge) -> None:
    if event.about == "unit":
        job.unit, job.unit_assumed = DEFAULT_UNIT, True
        return
    if event.about == "brought":
        job.brought_said = True
        return
    if event.about == DANGER_CHECK:
        # Don't know never counts as none: the job goes on only with its cautions, and the sheet says so.
        job.danger_unsaid, job.danger_unlooked = True, False
    if _stays_found(job, event.about, knowledge):
        job.read_no_more.add(event.about)
        return
    job.answers.pop(event.about, None)
    _no_longer_open(job, event.about)
    job.unknown.append(event.about)
    _had_its_turn(job, event)


def _cannot(job: Job, event: Event, knowledge: Knowledge) -> None:
    check = knowledge.checks.get(event.about)
    if check is not None and check.needs != "nothing":
        job.barred[check.needs] = event.reason
    if _stays_found(job, event.about, knowledge):
        job.read_no_more.add(event.about)
        return
    job.answers.pop(event.about, None)
    _no_longer_open(job, event.about)
    job.cannot[event.about] = event.reason
    _had_its_turn(job, event)


def _defer(job: Job, event: Event, knowledge: Knowledge) -> None:
    """A check or repair that is done later, or a result that shows later: neither asked again meanwhile nor unknown."""
    if _stays_found(job, event.about, knowledge):
        job.read_no_more.add(event.about)
        return
    job.waiting.pop(event.about, None)
    job.answers.pop(event.about, None)
    _no_longer_open(job, event.about)
    if event.about != job.awaiting:
        job.repaired.pop(event.about, None)
    job.waiting[event.about] = event.text
    _had_its_turn(job, event)


def _lift(job: Job, event: Event, knowledge: Knowledge) -> None:
    """What could not be done can be done after all: the check or repair, and every check with the same need."""
    job.cannot.pop(event.about, None)
    if job.repaired.get(event.about) in ("could_not", "not_done"):
        del job.repaired[event.about]
    check = knowledge.checks.get(event.about)
    if check is None or job.barred.pop(check.needs, None) is None:
        return
    for other in [name for name in job.cannot if name in knowledge.checks]:
        if knowledge.checks[other].needs == check.needs:
            del job.cannot[other]


def _no_longer_open(job: Job, check: str) -> None:
    """A later answer of any kind takes the place of don't know, can't and later."""
    if check in job.unknown:
        job.unknown.remove(check)
    job.cannot.pop(check, None)
    job.waiting.pop(check, None)


def _had_its_turn(job: Job, event: Event) -> None:
    """Count what was asked; what was told in a line of its own was not."""
    if event.about not in job.asked and event.about != DANGER_CHECK and not event.beside:
        job.asked.append(event.about)


def _drop_stale(job: Job, repair: str, knowledge: Knowledge) -> None:
    """After a repair the plant is another one: what it changed no longer counts and may be asked again.

    A part that was swapped in and did not help is out again, and the plant is what it was.
    """
    taken_out = knowledge.repairs[repair]
    if taken_out.swap_back is not None and job.verified[repair] == "not_helped":
        # What was found on the old part counts again, as it is back in.
        job.mended -= {c for c in job.mended if not lifted_by(knowledge, c, job).isdisjoint(taken_out.cures)}
        return
    for check in knowledge.repairs[repair].ask_again:
        if check in job.answers and not _stays_found(job, check, knowledge):
            job.stale[check] = job.answers.pop(check)


def _stays_found(job: Job, check: str, knowledge: Knowledge) -> bool:
    """Whether what keeps the plant off was found here: that is lifted by its repair or another answer, and by no less.

    Don't know, can't and later mend nothing, and another repair neither.
    """
    if check not in job.answers or check not in knowledge.checks or check in job.mended:
        return False
    return knowledge.checks[check].keeps_off(job.answers[check].reading.value)


_BRINGS: Mapping[EventKind, Callable[[Job, Event, Knowledge], None]] = {
    "opened": _open,
    "answered": _answer,
    "corrected": _answer,
    "danger_reported": _danger,
    "danger_cleared": _danger,
    "dont_know": _unknown,
    "cant": _cannot,
    "deferred": _defer,
    "lifted": _lift,
    "made_safe": _plant,
    "switched_on": _plant,
    "resumed": _plant,
    "found": _plant,
    "left": _plant,
    "part_found": _find_part,
    "already_tried": _repair,
    "repaired": _repair,
    "verified": _repair,
    "noted": _note,
    "recorded": _leave,
    "handed_on": _close,
    "closed": _close,
}
"""What each kind of event does to a job; `taken_back` never stands."""

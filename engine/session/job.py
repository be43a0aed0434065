"""What a list of events amounts to: the state of one job, always the replay of its events."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from engine.findings.evidence import Observation
from engine.knowledge.model import DANGER_CHECK, Knowledge, RoleId
from engine.knowledge.required import DEFAULT_UNIT
from engine.session import danger
from engine.session.danger import Report
from engine.session.journal import Event
from engine.session.validation import as_said, usable

SET_UP = ("role", "unit", "complaint", "brought")
"""What is settled before the tree opens; events carry these in `about`."""

PlantState = Literal["running", "isolated", "off", "unknown"]
"""`isolated`: off, locked and proved dead in this visit. `off`: off and not proved dead in it. `unknown`: not asked."""

_AS_GOOD_AS = 0.2
"""A cause that shows a finding this much more seldom than the one that shows it most is not behind it: judgement."""

TAKEN_BACK_KINDS = (
    "answered",
    "corrected",
    "dont_know",
    "cant",
    "deferred",
    "lifted",
    "already_tried",
    "repaired",
    "verified",
    "danger_reported",
    "danger_cleared",
    "closed",
    "handed_on",
)
"""What going back undoes; switching the supply and notes stay, as they happened at the pool."""


@dataclass(frozen=True)
class Answered:
    """One answer with what the person typed and when."""

    check: str
    reading: Observation
    text: str
    at: str


@dataclass
class Job:
    """The state of a job. Only `replay` writes it; everybody else reads.

    `waiting` holds what is done later, away from this visit, with when: checks, repairs, and repairs already done
    whose result shows later. `plant` holds for this visit only; `left_as` is how a visit leaves it, `on` or `off`.
    `mended` are the checks whose finding was repaired since, `stale` the answers from before a repair of them.
    `danger_said`: the question for danger was answered, `danger_unsaid` by don't know, `danger_unlooked` by that nobody
    has looked. `reports` are the dangers, also those that were found safe since; `but_for_danger` where a job in danger
    is looked at as if there were none, so that only what is harmless is asked.
    `set_aside` holds events that the knowledge can make nothing of; what they say is a note.
    """

    id: str = ""
    fingerprint: str = ""
    role: RoleId | None = None
    unit: str | None = None
    unit_assumed: bool = True
    complaint: str | None = None
    brought: tuple[str, ...] = ()
    brought_said: bool = False
    danger_said: bool = False
    danger_unsaid: bool = False
    danger_unlooked: bool = False
    reports: list[Report] = field(default_factory=list)
    but_for_danger: bool = False
    plant: PlantState = "running"
    left_as: str | None = None
    mended: set[str] = field(default_factory=set)
    answers: dict[str, Answered] = field(default_factory=dict)
    stale: dict[str, Answered] = field(default_factory=dict)
    unknown: list[str] = field(default_factory=list)
    cannot: dict[str, str] = field(default_factory=dict)
    barred: dict[str, str] = field(default_factory=dict)
    asked: list[str] = field(default_factory=list)
    repaired: dict[str, str] = field(default_factory=dict)
    verified: dict[str, str] = field(default_factory=dict)
    awaiting: str | None = None
    waiting: dict[str, str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    set_aside: list[Event] = field(default_factory=list)
    decision: str | None = None
    closed: bool = False

    @property
    def danger_open(self) -> bool:
        """Whether nothing has been said of danger yet."""
        return not (self.danger_said or self.danger_unsaid)

    @property
    def standing(self) -> tuple[Report, ...]:
        """The dangers that nobody has found safe yet, first reported first."""
        return tuple(report for report in self.reports if report.cleared is None)

    @property
    def danger(self) -> str | None:
        """The danger to be met now: of those that stand the first one not made safe, else the first; None for none."""
        standing = self.standing
        return next((each.danger for each in (*(r for r in standing if not r.made_safe), *standing)), None)

    @property
    def made_safe(self) -> bool:
        """Whether danger stands, and all of it was made safe."""
        return bool(self.standing) and all(report.made_safe for report in self.standing)

    @property
    def readings(self) -> Mapping[str, Observation]:
        """The answers as the engine reads them; that nobody looked for danger tells nothing."""
        told = [check for check in self.answers if check != DANGER_CHECK or not self.danger_unlooked]
        return {check: self.answers[check].reading for check in told}

    @property
    def failed(self) -> tuple[str, ...]:
        """Repairs that were done, now or before, and did not help."""
        return tuple(repair for repair, outcome in self.verified.items() if outcome == "not_helped")

    @property
    def left(self) -> tuple[str, ...]:
        """Repairs that this visit cannot do: not possible, not to be switched off for, or by a technician not done."""
        outcomes = ("could_not", "not_done") if self.role == "field" else ("could_not",)
        return (*(repair for repair, outcome in self.repaired.items() if outcome in outcomes), *self.cannot)

    def settled(self, check: str) -> bool:
        """Whether a check has had its turn: answered, not known, impossible, or done later."""
        return check in self.answers or check in self.unknown or check in self.cannot or check in self.waiting


def effective(events: Iterable[Event]) -> list[Event]:
    """The events that stand: each `taken_back` undoes the last answer or outcome before it."""
    standing: list[Event] = []
    for event in events:
        if event.kind != "taken_back":
            standing.append(event)
            continue
        for place in range(len(standing) - 1, -1, -1):
            if standing[place].kind in TAKEN_BACK_KINDS:
                del standing[place]
                break
    return standing


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
    match event.kind:
        case "opened":
            job.id, job.fingerprint = str(event.value or ""), event.text
        case "answered" | "corrected":
            _answer(job, event, knowledge)
        case "danger_reported" | "danger_cleared":
            _danger(job, event, knowledge)
        case "dont_know":
            _unknown(job, event, knowledge)
        case "cant":
            _cannot(job, event, knowledge)
        case "deferred":
            _defer(job, event, knowledge)
        case "lifted":
            _lift(job, event.about, knowledge)
        case "made_safe" | "switched_on" | "resumed" | "found" | "left":
            _plant(job, event)
        case "already_tried" | "repaired" | "verified":
            _repair(job, event, knowledge)
        case "noted":
            job.notes.append(event.text)
        case "handed_on" | "closed":
            _close(job, event)


def _close(job: Job, event: Event) -> None:
    job.decision = str(event.value or "") or job.decision
    job.closed = True
    job.waiting.clear()


def _danger(job: Job, event: Event, knowledge: Knowledge) -> None:
    """A danger said in words at any time, or found safe."""
    if event.kind == "danger_reported":
        job.reports = danger.reported(job.reports, event.about, event)
        job.danger_said, job.danger_unsaid = True, False
    else:
        job.reports = danger.cleared(job.reports, event, knowledge, job.role)


def _plant(job: Job, event: Event) -> None:
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
            job.plant = "running" if job.plant == "running" else "unknown"
        case "found" if event.value == "unknown":
            job.plant = "unknown"
        case "found":
            job.plant = "running" if event.value == "running" else "off"
        case _:
            job.left_as = str(event.value)
            job.plant = "running" if event.value == "on" else "off"


def lifted_by(knowledge: Knowledge, check: str, job: Job) -> frozenset[str]:
    """The causes whose cure mends what an answer that stands has shown: those that show it.

    Beyond the usual, and not far more seldom than another does: a pack that is dried is not one that was burnt.
    """
    if check not in job.answers or check not in knowledge.checks:
        return frozenset()
    answer = str(job.answers[check].reading.value)
    shown = {cause: _shows(knowledge, cause, check, answer, job) for cause in knowledge.causes}
    least = max(knowledge.checks[check].usual.get(answer, 0.0), _AS_GOOD_AS * max(shown.values(), default=0.0))
    return frozenset(cause for cause, share in shown.items() if share > least)


def _shows(knowledge: Knowledge, cause: str, check: str, answer: str, job: Job) -> float:
    tree = knowledge.trees.get(job.complaint or "")
    here = {} if tree is None else tree.here.get(cause, {})
    everywhere = knowledge.causes[cause].shows if cause in knowledge.causes else {}
    return max(shows.get(check, {}).get(answer, 0.0) for shows in (here, everywhere))


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
            job.answers[check] = Answered(check, Observation(value, event.by), event.text, event.at)
            _no_longer_open(job, check)
            _had_its_turn(job, check)


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
        return
    job.answers.pop(event.about, None)
    _no_longer_open(job, event.about)
    job.unknown.append(event.about)
    _had_its_turn(job, event.about)


def _cannot(job: Job, event: Event, knowledge: Knowledge) -> None:
    check = knowledge.checks.get(event.about)
    if check is not None and check.needs != "nothing":
        job.barred[check.needs] = event.reason
    if _stays_found(job, event.about, knowledge):
        return
    job.answers.pop(event.about, None)
    _no_longer_open(job, event.about)
    job.cannot[event.about] = event.reason
    _had_its_turn(job, event.about)


def _defer(job: Job, event: Event, knowledge: Knowledge) -> None:
    """A check or repair that is done later, or a result that shows later: neither asked again meanwhile nor unknown."""
    if _stays_found(job, event.about, knowledge):
        return
    job.waiting.pop(event.about, None)
    job.answers.pop(event.about, None)
    _no_longer_open(job, event.about)
    if event.about != job.awaiting:
        job.repaired.pop(event.about, None)
    job.waiting[event.about] = event.text
    _had_its_turn(job, event.about)


def _lift(job: Job, about: str, knowledge: Knowledge) -> None:
    """What could not be done can be done after all: the check or repair, and every check with the same need."""
    job.cannot.pop(about, None)
    if job.repaired.get(about) in ("could_not", "not_done"):
        del job.repaired[about]
    check = knowledge.checks.get(about)
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


def _had_its_turn(job: Job, check: str) -> None:
    if check not in job.asked and check != DANGER_CHECK:
        job.asked.append(check)


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

"""What every part of a sheet is made from: the session, what it came to, and in whose words it is told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from engine.foundation.plain_text import cleaned
from engine.knowledge.model import DECISIONS, Caution, Check, Knowledge, Repair, RoleId, UnitProfile, Wording
from engine.quantities.unit_systems import System
from engine.session.acts import Act
from engine.session.job import Job, effective
from engine.session.journal import Event
from engine.session.session import Session
from reports.phrases import Reader, lowered, reader_of
from reports.view.decisions import Decided, decided_words
from reports.view.known import quantity

_CLOSING = ("handed_on", "closed")
_STILL_ASKING = ("set_up", "ask", "isolate", "switch_on")


@dataclass(frozen=True)
class Conclusion:
    """What the job came to.

    `why` is the session's word for it, or `unverified` (repaired, result not looked at yet). `reason` is what the
    person who closed the job said. `cut_short` tells that the session would have gone on asking.
    """

    decision: str
    repair: str | None
    why: str
    cautions: tuple[str, ...]
    reason: str
    cut_short: bool

    @property
    def solved(self) -> bool:
        """Whether a repair was done and verified."""
        return self.why == "solved"


@dataclass(frozen=True)
class JobCase:
    """One job on its way to a sheet.

    `session` is the job as it stands. `judged` is the same job at the moment its belief is told of: before the repair
    that helped or may have, as the answers that led there no longer hold afterwards.
    """

    session: Session
    judged: Session
    voice: RoleId
    date: str
    conclusion: Conclusion
    units: System = "metric"

    @property
    def knowledge(self) -> Knowledge:
        """The knowledge that the job is read with."""
        return self.session.knowledge

    @property
    def job(self) -> Job:
        """The job as it stands."""
        return self.session.job

    @property
    def unit(self) -> UnitProfile:
        """The unit profile, the default one where none was said."""
        return self.session.unit

    @property
    def judges(self) -> bool:
        """Whether there is a belief to tell of: a complaint was said, and danger did not end the job before."""
        return self.job.complaint is not None and self.job.role is not None and self.conclusion.why != "danger"

    @property
    def standing(self) -> Sequence[Event]:
        """The events that were not taken back."""
        return effective(self.session.events)

    @property
    def decided(self) -> Decided:
        """The words of the decision, as this job stands."""
        return decided_words(self._decided_as(), self.reader)

    @property
    def stuck(self) -> bool:
        """Whether the job is handed on as nothing that can be done here is worth its time."""
        return self.judges and self.conclusion.decision == "other_trade" and self.conclusion.repair is None

    def _decided_as(self) -> str:
        if self.stuck:
            return "no_remedy"
        if self.conclusion.solved or self.conclusion.why == "unverified":
            return self.conclusion.why
        if self.conclusion.decision == "bring_cell" and "cell" in self.job.brought:
            return "cell_is_here"
        if self.conclusion.decision == "order_and_return" and self.conclusion.repair in self.job.left:
            return "come_back"
        return self.conclusion.decision

    @property
    def reader(self) -> Reader:
        """Whose wording the sheet's reader is told in."""
        return reader_of(self.voice)

    @property
    def numbers(self) -> Mapping[str, float]:
        """Every number that was given and holds at the moment judged, by its check, in the check's unit."""
        readings = self.judged.job.readings
        return {
            check: float(reading.value) for check, reading in readings.items() if not isinstance(reading.value, str)
        }

    def say(self, wording: Wording) -> str:
        """A wording as this sheet's reader is spoken to."""
        return wording.for_role(self.voice, self.units)

    def show(self, value: float, unit: str) -> str:
        """A quantity in the units of this sheet's reader."""
        return quantity(value, unit, self.units)

    def short(self, check: Check) -> str:
        """A check in a few words: the technician's name for it, or the short word that people use."""
        if self.voice == "field" or not check.names:
            return lowered(self.say(check.wording))
        return check.names[0]

    def check(self, name: str) -> Check | None:
        """The check of this id, None where the knowledge has none."""
        return self.knowledge.checks.get(name)

    def repair(self, name: str | None) -> Repair | None:
        """The repair of this id, None where there is none."""
        return None if name is None else self.knowledge.repairs.get(name)

    def caution(self, name: str) -> Caution | None:
        """The caution of this id, None where the knowledge has none."""
        return self.knowledge.cautions.get(name)


def case_of(session: Session, date: str, act: Act | None) -> JobCase:
    """Work out what a session came to.

    Args:
        session: the job, open or closed.
        date: the date that the sheet bears.
        act: the conclusion that a front end was given; by default what the session says is next.
    """
    events = effective(session.events)
    conclusion = _conclusion(session, events, act)
    mended = conclusion.why in ("solved", "unverified")
    judged = Session(session.models, _until_repaired(session, events)) if mended else session
    return JobCase(session, _before_help(judged), session.job.role or "counter", date, conclusion)


def waiting_for(job: Job) -> list[str]:
    """Repairs that were done and whose result shows only later."""
    later = [repair for repair, outcome in job.verified.items() if outcome == "later"]
    return [*later, *([job.awaiting] if job.awaiting is not None and job.awaiting in job.waiting else [])]


def _conclusion(session: Session, events: Sequence[Event], act: Act | None) -> Conclusion:
    closing = next((event for event in reversed(events) if event.kind in _CLOSING), None)
    if act is None or (closing is not None and act.kind == "conclude" and not act.repair):
        # Once a job is closed the session no longer says by which repair; the same job, still open, does.
        opened = session if closing is None else Session(session.models, [e for e in events if e.kind not in _CLOSING])
        act = act if act is not None and act.why == "danger" else opened.next()
    found = _of_act(session, act)
    said = str(closing.value or "") if closing is not None else ""
    decision = said if said in DECISIONS else found.decision
    reason = cleaned(closing.reason or closing.text) if closing is not None else ""
    return Conclusion(decision, found.repair, found.why, found.cautions, reason, found.cut_short)


def _of_act(session: Session, act: Act) -> Conclusion:
    if act.kind == "make_safe":
        return Conclusion("make_safe", None, "danger", act.cautions, "", False)
    if act.kind == "verify" or (act.kind == "switch_on" and act.repair):
        return Conclusion("repair_here", act.about, "unverified", act.cautions, "", False)
    if act.kind == "perform" or (act.kind == "isolate" and act.repair):
        return Conclusion("repair_here", act.repair, act.why, act.cautions, "", False)
    waiting = waiting_for(session.job)
    if waiting and (act.kind in _STILL_ASKING or act.repair in waiting):
        # The answers that a repair makes stale could be asked anew, but only its result will tell.
        return Conclusion("repair_here", waiting[-1], "unverified", act.cautions, "", False)
    if act.kind in _STILL_ASKING:
        return _cut_short(session, act)
    return Conclusion(act.about, act.repair, act.why, act.cautions, "", False)


def _cut_short(session: Session, act: Act) -> Conclusion:
    """What would be done with no further question."""
    if session.job.complaint is None or session.job.role is None:
        return Conclusion("", None, "", act.cautions, "", True)
    remedy, _ = session.planner.act_now(session.belief, "mend")
    if remedy is None:
        return Conclusion("other_trade" if session.job.role == "field" else "send_technician", None, "", (), "", True)
    return Conclusion(remedy.decision, remedy.repair, "", session.knowledge.repairs[remedy.repair].cautions, "", True)


def _before_help(session: Session) -> Session:
    """The job before any repair that helped: what was found then is what the belief rests on ever after."""
    while "helped" in session.job.verified.values():
        standing = effective(session.events)
        helped = [place for place, event in enumerate(standing) if event.kind == "verified" and event.value == "helped"]
        session = Session(session.models, standing[: helped[-1]])
    return session


def _until_repaired(session: Session, events: Sequence[Event]) -> Sequence[Event]:
    """The events up to the last time that a repair was done which did not fail."""
    done = {repair for repair, outcome in session.job.repaired.items() if outcome == "done"} - set(session.job.failed)
    places = [place for place, event in enumerate(events) if event.kind == "repaired" and event.about in done]
    return events[: places[-1]] if places else events

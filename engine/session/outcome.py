"""What a job came to: what is decided and by which repair, and the moment at which its belief is told of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from engine.foundation.plain_text import cleaned
from engine.knowledge.model import Caution, Check, Knowledge, Repair, UnitProfile
from engine.knowledge.properties import DECISIONS
from engine.session.acts import Act
from engine.session.deciding import decision_now
from engine.session.job import SET_UP, Job
from engine.session.journal import Event
from engine.session.session import Session
from engine.session.taken_back import effective

_CLOSING = ("handed_on", "closed")
_STILL_ASKING = ("set_up", "ask", "isolate", "switch_on", "find_plant", "leave_plant", "find_part")


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
class JobOutcome:
    """One job and what it came to.

    `session` is the job as it stands. `judged` is the same job at the moment its belief is told of: before the repair
    that helped or may have, as the answers that led there no longer hold afterwards.
    """

    session: Session
    judged: Session
    conclusion: Conclusion

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
    def stuck(self) -> bool:
        """Whether the job is handed on as nothing that can be done here is worth its time."""
        return self.judges and self.conclusion.decision == "other_trade" and self.conclusion.repair is None

    @property
    def numbers(self) -> Mapping[str, float]:
        """Every number that was given and holds at the moment judged, by its check, in the check's unit."""
        readings = self.judged.job.readings
        return {
            check: float(reading.value) for check, reading in readings.items() if not isinstance(reading.value, str)
        }

    def check(self, name: str) -> Check | None:
        """The check of this id, None where the knowledge has none."""
        return self.knowledge.checks.get(name)

    def repair(self, name: str | None) -> Repair | None:
        """The repair of this id, None where there is none."""
        return None if name is None else self.knowledge.repairs.get(name)

    def caution(self, name: str) -> Caution | None:
        """The caution of this id, None where the knowledge has none."""
        return self.knowledge.cautions.get(name)


def outcome_of(session: Session, act: Act | None) -> JobOutcome:
    """Work out what a session came to.

    Args:
        session: the job, open or closed.
        act: the conclusion that a front end was given; by default what the session says is next.
    """
    events = effective(session.events)
    conclusion = _conclusion(session, events, act)
    mended = conclusion.why in ("solved", "unverified")
    judged = _cut(session, _until_repaired(session, events), events) if mended else session
    return JobOutcome(session, _before_help(judged), conclusion)


def _cut(session: Session, before: Sequence[Event], events: Sequence[Event]) -> Session:
    """A job at an earlier moment; what of the start was said only since then is taken along, as nothing tells without.

    Args: the job, the events up to that moment, and all that stand.
    """
    cut = Session(session.models, before)
    if cut.job.complaint is not None and cut.job.role is not None:
        return cut
    return Session(session.models, [*before, *(event for event in events[len(before) :] if event.about in SET_UP)])


def waiting_for(job: Job) -> list[str]:
    """Repairs that were done and whose result shows only later."""
    later = [repair for repair, outcome in job.verified.items() if outcome == "later"]
    return [*later, *([job.awaiting] if job.awaiting is not None and job.awaiting in job.waiting else [])]


def _conclusion(session: Session, events: Sequence[Event], act: Act | None) -> Conclusion:
    closing = next((event for event in reversed(events) if event.kind in _CLOSING), None)
    if act is None or (closing is not None and act.kind == "conclude" and not act.repair):
        # Once a job is closed the session no longer says by which repair; the same job, still open, does.
        opened = session if closing is None else Session(session.models, [e for e in events if e.kind not in _CLOSING])
        act = act if act is not None and act.why == "danger" else opened.next(again=False)
    found = _of_act(session, act)
    said = str(closing.value or "") if closing is not None else ""
    decision = said if said in DECISIONS else found.decision
    reason = cleaned(closing.reason or closing.text) if closing is not None else ""
    return Conclusion(decision, found.repair, found.why, found.cautions, reason, found.cut_short)


def _of_act(session: Session, act: Act) -> Conclusion:
    if session.job.danger is not None:
        # Whatever would be next but for the danger, it is made safe and handed on first.
        return Conclusion("make_safe", None, "danger", session.cautions_of_danger, "", False)
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
    remedy = session.remedy_now()
    decision = decision_now(session, remedy)
    if remedy is None:
        return Conclusion(decision, None, "", (), "", True)
    return Conclusion(
        decision,
        remedy.repair,
        "",
        session.knowledge.repairs[remedy.repair].work.cautions.for_role(session.role.id),
        "",
        True,
    )


def _before_help(session: Session) -> Session:
    """The job before any repair that helped: what was found then is what the belief rests on ever after."""
    while "helped" in session.job.verified.values():
        standing = effective(session.events)
        helped = [place for place, event in enumerate(standing) if event.kind == "verified" and event.value == "helped"]
        session = _cut(session, standing[: helped[-1]], standing)
    return session


def _until_repaired(session: Session, events: Sequence[Event]) -> Sequence[Event]:
    """The events up to the last time that a repair was done which did not fail."""
    done = {repair for repair, outcome in session.job.repaired.items() if outcome == "done"} - set(session.job.failed)
    places = [place for place, event in enumerate(events) if event.kind == "repaired" and event.about in done]
    return events[: places[-1]] if places else events

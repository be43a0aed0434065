"""A run without a person: a worked call's facts answer the checks, and the strategy's decision is noted."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from engine.evaluation.calls import WorkedCall, read_calls
from engine.foundation.bounded_read import read_at_most
from engine.foundation.texts import say
from engine.foundation.yaml_reader import MOST_BYTES
from engine.knowledge.model import DANGER_CHECK
from engine.session.acts import Act
from engine.session.availability import open_checks
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.session import Session
from engine.strategy.costs import check_minutes

AT = "1970-01-01T00:00:00Z"
"""The time of every event of a run that is told none: the same call gives the same run."""


@dataclass
class Run:
    """What a scripted run came to.

    `at` is the time of its events. `decision` is the first act preferred to asking on, `ended` what is to be done with
    all that was learnt; `minutes` add up what was asked, `cautions` are all that were met.
    """

    session: Session
    at: str = AT
    decision: Act | None = None
    ended: Act | None = None
    minutes: float = 0.0
    cautions: list[str] = field(default_factory=list)

    @property
    def decided(self) -> str:
        """The decision's id."""
        if self.decision is None:
            return ""
        return self.decision.about if self.decision.kind == "conclude" else "repair_here"

    def meet(self, cautions: Sequence[str]) -> None:
        """Note cautions, each once, in the order met."""
        self.cautions.extend(c for c in cautions if c not in self.cautions)


Answer = Callable[[Session, str], str | float | None]
"""What whoever is asked says of a check at this moment of the job; None for don't know."""


def run_call(models: Models, call: WorkedCall, at: str = AT) -> Run:
    """Interview a worked call to the end; its facts answer."""
    return run_answered(models, call, lambda _, check: call.facts.get(check), at)


def run_answered(models: Models, call: WorkedCall, answer: Answer, at: str = AT) -> Run:
    """Interview somebody who answers, to the end; `call` says who that is and what the complaint is.

    No repair is carried out, as a call holds no outcome: the first repair or hand-on that the strategy prefers is
    noted as the decision, and asking goes on as long as it pays for settling the remedy.
    """
    run = Run(Session(models), at)
    for event in opening_of(models, call, at):
        run.session.record(event)
    while True:
        act = run.session.next("mend" if run.decision is None else "settle")
        if act.kind == "make_safe":
            run.meet(act.cautions)
            run.decision = run.ended = _in_danger(run, act)
            return run
        if _decides(act) and run.decision is None:
            run.decision = act
            run.meet(act.cautions)
            act = run.session.next("settle")
        if _decides(act):
            run.ended = run.session.conclude() if act.why != "danger" else act
            return run
        run.meet(act.cautions)
        run.session.record(_outcome(run, act, call, answer))


def opening_of(models: Models, call: WorkedCall, at: str = AT) -> list[Event]:
    """What settles the start of a call: who asks, whether there is danger, unit, complaint, what was brought."""
    danger = str(call.facts.get(DANGER_CHECK, "none"))
    return [
        Event("opened", at, value=call.name, text=models.knowledge.fingerprint),
        Event("answered", at, about="role", value=call.role),
        Event("answered", at, about=DANGER_CHECK, value=danger)
        if DANGER_CHECK in call.facts
        else Event("dont_know", at, about=DANGER_CHECK),
        Event("answered", at, about="unit", value=call.unit),
        Event("answered", at, about="complaint", value=call.complaint),
        Event("answered", at, about="brought", value="+".join(call.brought) or "nothing"),
    ]


def _decides(act: Act) -> bool:
    """Whether an act is a repair, begun by isolating or not, or the end: what a scripted run only notes."""
    return act.kind in ("perform", "conclude") or act.repair is not None


def run_facts(models: Models, file: Path, number: int, instead: Mapping[str, str], at: str = AT) -> Run:
    """Interview one call of a file, by its number from 1, at a time; `instead` wins over what the call says.

    Raises:
        KnowledgeError: where the file cannot be used.
        OSError: where it cannot be read.
        LookupError: where it holds no call of this number.
    """
    calls = read_calls(str(file), read_at_most(file, MOST_BYTES + 1), models.knowledge, instead)
    if not 1 <= number <= len(calls):
        raise LookupError(
            say("jobs.no_call_one", file=file, number=number)
            if len(calls) == 1
            else say("jobs.no_call", file=file, count=len(calls), number=number)
        )
    run = run_call(models, calls[number - 1], at)
    _tell_the_rest(run, calls[number - 1])
    return run


def _tell_the_rest(run: Run, call: WorkedCall) -> None:
    """Say what the call knows beside what was asked: its sheet names it, and works out amounts by it."""
    session = run.session
    if run.ended is None or run.ended.why == "danger":
        return
    while told := [name for name in open_checks(session.knowledge, session.job) if name in call.facts]:
        session.record(Event("answered", run.at, about=told[0], value=call.facts[told[0]]))
    run.ended = session.conclude()


def _in_danger(run: Run, act: Act) -> Act:
    """What a danger ends in once it is made safe, which nobody has said: so no paper of the run says it."""
    safe = Event("made_safe", run.at, about=DANGER_CHECK, value=act.about)
    return Session(run.session.models, [*run.session.events, safe]).next("mend")


def _outcome(run: Run, act: Act, call: WorkedCall, answer: Answer) -> Event:
    """What happens on an act: facts answer, what cannot be is said so, cautions count as confirmed."""
    match act.kind:
        case "isolate":
            return Event("made_safe", run.at, about=act.about)
        case "switch_on":
            return Event("switched_on", run.at, about=act.about)
        case "ask":
            session = run.session
            run.minutes += check_minutes(session.knowledge.checks[act.about], session.role, "running")
            if (said := answer(session, act.about)) is not None:
                return Event("answered", run.at, about=act.about, value=said)
            if act.about in call.cannot:
                return Event("cant", run.at, about=act.about, reason=say("jobs.not_on_this_visit"))
            return Event("dont_know", run.at, about=act.about)
        case _:
            raise AssertionError(f"a scripted run cannot {act.kind}")

"""What follows on a job: the session's next act with the switching before it, and what may come of it, in groups."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from typing import Literal

import numpy as np

from engine.inference.belief import Array
from engine.knowledge.hazards import told_for
from engine.knowledge.model import DANGER_CHECK, Check, RoleId, reader_of
from engine.session.acts import Act
from engine.session.folding import replay
from engine.session.journal import Event
from engine.session.keeping_off import kept_off_by
from engine.session.models import Models
from engine.session.session import Session
from engine.strategy.costs import chance_to_say
from engine.strategy.decision import after_failure
from engine.strategy.options import points
from reports.card.choosing import next_on_card

AT = "1970-01-01T00:00:00Z"
"""A card has no clock: the same knowledge gives the same card."""

Before = Literal["", "isolate", "switch_on"]
NOT_KNOWN = "not_known"
HELPED, NOT_HELPED = "helped", "not_helped"
Events = tuple[Event, ...]
"""A job so far."""


@dataclass(frozen=True)
class Followed:
    """What follows on a job: the act, the switching before it, the job with that done, and the belief then.

    `kept_off` are the checks whose answers keep the plant off, `settled` all that had their turn. `helps` is the
    probability that a repair that is done or handed on leaves nothing wrong; 0 where there is none.
    """

    act: Act
    before: Before
    cautions: tuple[str, ...]
    events: Events
    belief: Array
    kept_off: frozenset[str]
    settled: frozenset[str]
    plant: str
    helps: float

    @property
    def unswitched(self) -> Events:
        """The job as it stood before the switching."""
        return self.events[:-1] if self.before else self.events


@dataclass(frozen=True)
class Upshot:
    """One thing that may come of an act, with its probability and what follows on it."""

    answer: str
    probability: float
    followed: Followed


def opened(tree: str, role: RoleId, unit: str) -> Events:
    """A job up to the question for danger; what no paper asks is settled before."""
    settled = (("role", role), ("unit", unit), ("complaint", tree), ("brought", "nothing"))
    return tuple(Event("answered", AT, about=about, value=value) for about, value in settled)


class Following:
    """Works out what follows, and remembers it: that is the slow part, and a card is made more than once."""

    def __init__(self, models: Models) -> None:
        """Args: the models of the knowledge."""
        self.models = models
        self._next: dict[tuple[Events, bool], Followed] = {}
        self._results: dict[tuple[Events, Act], tuple[Upshot, ...]] = {}
        self._sessions: dict[Events, Session] = {}

    def next(self, events: Events) -> Followed:
        """The session's next act."""
        return self._once(events, asks=True)

    def at_once(self, events: Events) -> Followed:
        """What would be done with no further question."""
        return self._once(events, asks=False)

    def mending(self, events: Events, repair: str) -> Followed | None:
        """What follows where a repair is wanted: it is done, or set going where it is not done here; None where it is
        no remedy of this job."""
        session = self._session(events)
        remedy = next((each for each in session.planner.remedies if each.repair == repair), None)
        if remedy is None:
            return None
        act = session.act_for(repair)
        if remedy.decision != "repair_here":
            act = Act("conclude", remedy.decision, act.cautions, repair=repair)
        return _followed(session, act)

    def passed_by(self, followed: Followed) -> Followed:
        """What follows where a check that tells nothing here is left out."""
        return self.next((*followed.unswitched, Event("dont_know", AT, about=followed.act.about)))

    def results(self, followed: Followed) -> tuple[Upshot, ...]:
        """What may come of an act, likeliest first; the probabilities add up to 1."""
        key = (followed.events, followed.act)
        if key not in self._results:
            session = self._session(followed.events)
            found = _repaired(session, followed) if followed.act.kind == "perform" else _answered(session, followed)
            self._results[key] = tuple(
                Upshot(answer, share, self.next((*followed.events, *events)))
                for answer, share, events in sorted(found, key=lambda result: -result[1])
            )
        return self._results[key]

    def _session(self, events: Events) -> Session:
        """The job at these events, led on from its beginning rather than told anew; whoever takes it may lead it on."""
        if events not in self._sessions:
            session = self._session(events[:-1]) if events else Session(self.models)
            if events:
                session.record(events[-1])
            self._sessions[events] = session
        return copy(self._sessions[events])

    def _once(self, events: Events, asks: bool) -> Followed:
        key = (events, asks)
        if key not in self._next:
            session = self._session(events)
            self._next[key] = _followed(session, next_on_card(session) if asks else session.conclude())
        return self._next[key]


def _followed(session: Session, act: Act) -> Followed:
    """An act with the switching before it; the session goes as far as that."""
    before: Before = ""
    cautions: tuple[str, ...] = ()
    if act.kind in ("isolate", "switch_on"):
        before = "isolate" if act.kind == "isolate" else "switch_on"
        isolating = told_for(session.knowledge.acts, reader_of(session.role.id), "isolating")
        cautions = (*(isolating if before == "isolate" else ()), *act.cautions)
        switched = Event("made_safe" if before == "isolate" else "switched_on", AT, about=act.about)
        about = act.about
        session.record(switched)
        known = session.knowledge
        act = session.act_for(about) if about in known.checks or about in known.repairs else next_on_card(session)
    job = session.job
    return Followed(
        act,
        before,
        tuple(dict.fromkeys((*cautions, *act.cautions))),
        tuple(session.events),
        session.belief,
        frozenset(kept_off_by(session.knowledge, job)),
        frozenset(check for check in session.knowledge.checks if job.settled(check)),
        job.plant,
        1.0 - _left(session, act.repair),
    )


def alike(one: Followed, other: Followed) -> bool:
    """Whether the same is done in the same state of the plant."""
    if one.act.kind == "make_safe":
        return other.act.kind == "make_safe"
    return (_what(one.act), one.before, one.kept_off) == (_what(other.act), other.before, other.kept_off)


def distance(one: Followed, other: Followed) -> float:
    """How far two beliefs lie apart: total variation, 0 to 1."""
    return float(np.abs(one.belief - other.belief).sum()) / 2


def _what(act: Act) -> tuple[str, str, str | None, bool]:
    return act.kind, act.about, act.repair, act.why == "solved"


def _answered(session: Session, followed: Followed) -> list[tuple[str, float, Events]]:
    """Each answer with its probability and its event, and not knowing."""
    check = session.knowledge.checks[followed.act.about]
    if check.id == DANGER_CHECK:
        # Whoever holds a card can look: that nobody has looked is no answer to go on with.
        unlooked = {answer.id for answer in check.answers if check.meaning(answer.id) == "not_looked_for"}
        shares = {answer: share for answer, share in check.usual.items() if answer not in unlooked}
        known = 1.0
    else:
        shares = session.may_show(check.id)
        known = chance_to_say(check, session.role, ())
    total = sum(shares.values())
    found: list[tuple[str, float, Events]] = [
        (answer, share / total * known, (Event("answered", AT, about=check.id, value=_value(session, check, answer)),))
        for answer, share in shares.items()
    ]
    if known < 1.0:
        found.append((NOT_KNOWN, 1.0 - known, (Event("dont_know", AT, about=check.id),)))
    return found


def _value(session: Session, check: Check, answer: str) -> str | float:
    """The answer itself, or for a number a reading in the middle of its band."""
    if not check.is_number:
        return answer
    place = next(nth for nth, band in enumerate(check.bands) if band.id == answer)
    below, above = points(check, session.unit)[2 * place : 2 * place + 2]
    return (below + above) / 2


def _repaired(session: Session, followed: Followed) -> Sequence[tuple[str, float, Events]]:
    """Whether a repair helps; the supply is on again by then."""
    repair = followed.act.about
    left = _left(session, repair)
    done: Events = (Event("repaired", AT, about=repair, value="done"),)
    if replay((*followed.events, *done), session.knowledge).plant == "isolated":
        done = (*done, Event("switched_on", AT, about=repair))
    return [
        (outcome, share, (*done, Event("verified", AT, about=repair, value=outcome)))
        for outcome, share in ((HELPED, 1.0 - left), (NOT_HELPED, left))
    ]


def _left(session: Session, repair: str | None) -> float:
    """The probability that a repair leaves something wrong; 1 for none."""
    if repair is None or repair not in session.planner.decision.repairs:
        return 1.0
    decision = session.planner.decision
    left = after_failure(decision, session.belief[None, :], decision.repairs.index(repair))
    return min(max(float(np.sum(left)), 0.0), 1.0)

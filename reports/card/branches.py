"""What follows on a job: the session's next act with the switching before it, and what may come of it, in groups."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from engine.inference.belief import Array
from engine.knowledge.hazards import told_for
from engine.knowledge.model import DANGER_CHECK, Check, RoleId, reader_of
from engine.session.acts import Act
from engine.session.folding import replay
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.session import Session
from engine.strategy.costs import chance_to_say
from engine.strategy.decision import after_failure
from engine.strategy.options import points

NEARLY = 0.2
"""Beliefs that differ by no more than this (total variation) go on as one, where the next question is the same."""
RARE = 0.005
"""An answer that fewer calls than this give is not followed up at all."""
AT = "1970-01-01T00:00:00Z"
"""A card has no clock: the same knowledge gives the same card."""

Before = Literal["", "isolate", "switch_on"]
NOT_KNOWN = "not_known"
HELPED, NOT_HELPED = "helped", "not_helped"
Events = tuple[Event, ...]
"""A job so far."""


@dataclass(frozen=True)
class Followed:
    """What follows on a job: the act, the switching before it, the job with that done, and the belief then."""

    act: Act
    before: Before
    cautions: tuple[str, ...]
    events: Events
    belief: Array

    @property
    def unswitched(self) -> Events:
        """The job as it stood before the switching."""
        return self.events[:-1] if self.before else self.events


@dataclass(frozen=True)
class Branch:
    """Answers that go on alike, the likeliest of them standing for all; None where they are too rare to follow."""

    answers: tuple[str, ...]
    probability: float
    followed: Followed | None


def opened(tree: str, role: RoleId, unit: str) -> Events:
    """A job up to the question for danger; what no paper asks is settled before."""
    settled = (("role", role), ("unit", unit), ("complaint", tree), ("brought", "nothing"))
    return tuple(Event("answered", AT, about=about, value=value) for about, value in settled)


class Following:
    """Works out what follows, and remembers it: that is the slow part, and a card is made more than once."""

    def __init__(self, models: Models) -> None:
        """Args: the models of the knowledge."""
        self._models = models
        self._branches: dict[tuple[Events, float], list[Branch]] = {}
        self._ended: dict[Events, tuple[Followed, float]] = {}

    def next(self, events: Events) -> Followed:
        """The session's next act."""
        return self._followed(Session(self._models, events), None)

    def at_once(self, events: Events) -> tuple[Followed, float]:
        """What would be done with no further question, and the probability that it helps."""
        if events not in self._ended:
            session = Session(self._models, events)
            followed = self._followed(session, session.conclude())
            self._ended[events] = (followed, 1.0 - _left(session, followed.act.repair))
        return self._ended[events]

    def branches(self, followed: Followed, probability: float) -> list[Branch]:
        """What may come of an act that so many calls in 1 come to; the probabilities add up to 1."""
        key = (followed.events, probability)
        if key not in self._branches:
            self._branches[key] = self._grouped(followed, probability)
        return self._branches[key]

    def _followed(self, session: Session, act: Act | None) -> Followed:
        act = act or session.next()
        before: Before = ""
        cautions: tuple[str, ...] = ()
        if act.kind in ("isolate", "switch_on"):
            before = "isolate" if act.kind == "isolate" else "switch_on"
            isolating = told_for(session.knowledge.acts, reader_of(session.role.id), "isolating")
            cautions = (*(isolating if before == "isolate" else ()), *act.cautions)
            switched = Event("made_safe" if before == "isolate" else "switched_on", AT, about=act.about)
            repair = act.repair
            session.record(switched)
            act = session.next() if repair is None else session.conclude()
        together = tuple(dict.fromkeys((*cautions, *act.cautions)))
        return Followed(act, before, together, tuple(session.events), session.belief)

    def _grouped(self, followed: Followed, probability: float) -> list[Branch]:
        session = Session(self._models, followed.events)
        results = _repaired(session, followed) if followed.act.kind == "perform" else _answered(session, followed)
        groups: list[Branch] = []
        for answer, share, events in sorted(results, key=lambda result: -result[1]):
            rare = share * probability < RARE and followed.act.about != DANGER_CHECK
            one = Branch((answer,), share, None if rare else self.next((*followed.events, *events)))
            place = next((nth for nth, group in enumerate(groups) if _alike(group.followed, one.followed)), None)
            if place is None:
                groups.append(one)
            else:
                group = groups[place]
                together = (*group.answers, answer)
                groups[place] = replace(group, answers=together, probability=group.probability + share)
        return groups


def _alike(one: Followed | None, other: Followed | None) -> bool:
    """Whether two answers may share a box: the same act, and where that is a question, nearly the same belief."""
    if one is None or other is None:
        return one is other
    if one.act.kind == "make_safe":
        return other.act.kind == "make_safe"
    same = one.before == other.before and _what(one.act) == _what(other.act)
    return same and (one.act.kind != "ask" or float(np.abs(one.belief - other.belief).sum()) / 2 <= NEARLY)


def _what(act: Act) -> tuple[str, str, str | None, bool]:
    return act.kind, act.about, act.repair, act.why == "solved"


def _answered(session: Session, followed: Followed) -> list[tuple[str, float, Events]]:
    """Each answer with its probability and its event, and not knowing."""
    check = session.knowledge.checks[followed.act.about]
    if check.id == DANGER_CHECK:
        shares: dict[str, float] = dict(check.usual)
        known = 1.0
    else:
        shares = {outcome.answer: outcome.probability for outcome in session.explain(check.id).outcomes}
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

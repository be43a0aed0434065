"""What a card does next: the look that settles most for its minutes, else the repair that mostly helps."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from engine.findings.evidence import telling
from engine.inference.belief import Array
from engine.knowledge.model import Plant
from engine.session.acts import Act
from engine.session.availability import may_say, open_checks
from engine.session.keeping_off import kept_off_by, waited_for
from engine.session.session import Session
from engine.strategy import Situation
from engine.strategy.decision import DecisionModel
from engine.strategy.lookahead import NEGLIGIBLE, Stacked, entropy_bits
from engine.strategy.options import PLANTS, single_looks

DECISIVE = 0.45
"""A repair is done with no further question where it leaves nothing wrong so often: judgement."""
LIKELY = 0.3
"""So often must a repair leave nothing wrong that it is tried on an answer after which nothing pays to be asked;
where nothing was answered it must be decisive. Judgement."""
_TOLD = 0.05
"""What a bit about the remedy counts beside calls that are settled at once: judgement."""
_WALK = 3.0
"""Minutes that each box takes beside its look: to find it, to read it, to write down what was seen. Judgement."""
_OPENED = 0.65
"""What is seen and measured as the plant stands comes before what it is opened or switched for, unless that settles so
much more for its minutes: judgement."""
_LEAST = 0.01
"""A look that settles less than so many calls in 1, bits told counted in, is not worth a box."""
_MORE = 0.03
"""Where a repair mostly helps, it is still looked first if so many calls in 1 more are settled by it."""


def next_on_card(session: Session) -> Act:
    """The act of the next box.

    The session's own where it is not free to choose: danger, what keeps the plant off, the result of a repair. Else,
    unlike the session, it spares boxes rather than minutes: a card cannot weigh a belief, so each look on it should
    settle as many calls as it can. What may be looked at and what must come before it are the session's rules.
    """
    job = session.job
    if job.danger is not None or job.danger_open or kept_off_by(session.knowledge, job) or _over(session):
        return session.next(again=False)
    if (look := _best_look(session)) is not None:
        return session.act_for(look)
    act = session.conclude()
    work = session.knowledge.repairs.get(act.repair or act.about)
    for name in waited_for(session.knowledge, job, work) if work is not None else ():
        if may_say(session.knowledge, job, name) and not _switches_back(session, name):
            return session.act_for(name)
    return act


def _over(session: Session) -> bool:
    """Whether a repair helped, or its result is open."""
    return session.job.awaiting is not None or "helped" in session.job.verified.values() or session.job.closed


def _switches_back(session: Session, check: str) -> bool:
    return session.knowledge.checks[check].plant == "running" and session.job.plant != "running"


def _best_look(session: Session) -> str | None:
    """The check that settles most for its minutes; None where none is worth a box."""
    planner, belief = session.planner, session.belief
    job, known = session.job, session.knowledge
    plant: Plant = "running" if job.plant == "running" else "isolated"
    said = telling(known, job.readings)
    situation = Situation(session.role, plant, open_checks(known, job), said, job.brought)
    mended = _mended(planner.decision)
    at_once = float((belief @ mended.T).max(initial=0.0))
    decided = at_once >= DECISIVE
    now = float(entropy_bits(planner.decision.by_remedy(belief[None, :]))[0])
    looks = single_looks(known, situation, planner.outcomes)
    if not looks:
        return None
    live = belief > NEGLIGIBLE
    tables = Stacked.of(looks).only(live)
    chances, rows = tables.before_and_after(belief[live])
    after = rows[1:]
    helps = (after @ mended.T[live]).max(axis=1, initial=0.0)
    gains = tables.by_look(chances, np.where(decided | (helps >= DECISIVE), helps, 0.0)) - at_once * decided
    left = tables.by_look(chances, entropy_bits(planner.decision.only(live).by_remedy(after)))
    best: tuple[float, str] | None = None
    for look, gained, open_bits in zip(looks, map(float, gains), map(float, left), strict=True):
        value = look.chance * (gained + (0.0 if decided else _TOLD * max(now - open_bits, 0.0)))
        if value >= (_MORE if decided else _LEAST):
            as_it_is = known.checks[look.id].plant in ("any", plant)
            a_minute = value / (look.minutes[PLANTS.index(plant)] + _WALK)
            best = max(best or (0.0, ""), (a_minute * (1.0 if as_it_is else _OPENED), look.id))
    return None if best is None else best[1]


@lru_cache(maxsize=64)
def _mended(model: DecisionModel) -> Array:
    """P(a repair leaves nothing wrong), shape (repairs, hypotheses)."""
    cures = np.concatenate([model.cures, np.ones((len(model.cures), 1))], axis=1)
    return np.asarray(cures[:, model.first] * cures[:, model.second] * (model.first >= 0))

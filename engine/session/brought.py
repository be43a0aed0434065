"""What a customer brought to the counter is tested and looked at before anything is asked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from engine.session.acts import Act
from engine.session.availability import open_checks
from engine.session.machine import MADE_SAFE, MAKING_SAFE, OPENING

if TYPE_CHECKING:
    from engine.session.session import Session

WORTH_A_TEST = 0.15
"""Bits on the remedy from which what was brought is tested before anything is asked, though no answer pays its minutes:
judgement; whoever brings a bottle or a cell expects it to be looked at."""


def brought_first(session: Session, act: Act) -> Act:
    """What is asked, or before it what was brought: a sample is tested, a cell looked at, where that tells much."""
    job, checks = session.job, session.knowledge.checks
    if act.kind != "ask" or job.role != "counter" or not job.brought or len(job.asked) >= session.role.limit:
        return act
    here = [name for name in open_checks(session.knowledge, job) if checks[name].brought in job.brought]
    if session.walk.state in (OPENING, MAKING_SAFE, MADE_SAFE) or not here or act.about in here:
        return act
    telling_much = (found.check for found in session.appraise() if found.worth > 0 or found.bits >= WORTH_A_TEST)
    first = next((name for name in telling_much if name in here), None)
    return act if first is None else session.act_for(first)

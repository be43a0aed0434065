"""What handing on costs, one fault at a time: the plain form of the sums over all hypotheses."""

from __future__ import annotations

from collections.abc import Collection

from engine.knowledge.model import Repair, Role
from engine.strategy.costs import RECEIVER_FINDS_MINUTES


def fallback_minutes(repairs: Collection[Repair], role: Role) -> float:
    """Minutes of the receiver; `repairs` are those that the fault would take, none where the trees do not know it."""
    hands_on = sum(repair.minutes for repair in repairs) or 60.0
    electrician = any("electrician" in repair.who for repair in repairs)
    visit = role.minutes["electrician"] if electrician else role.minutes["call_out"]
    return visit + RECEIVER_FINDS_MINUTES + role.minutes["return_trip"] + hands_on

"""What acts cost in minutes of the person asking: checks, remedies, and handing on, from the roles file."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from engine.inference.belief import Array
from engine.knowledge.model import Check, Knowledge, Plant, Repair, Role
from engine.knowledge.properties import Decision

RECEIVER_FINDS_MINUTES = 60.0
"""What the next person spends on finding a fault that was handed on unnamed: judgement."""
BROUGHT_SAYS = 0.95
"""What a customer brought to the counter nearly always lets the shop say: judgement."""

_ELSE: Mapping[Decision, Decision] = {
    "repair_here": "order_and_return",
    "sell_and_treat": "send_technician",
    "check_at_home": "send_technician",
    "bring_cell": "send_technician",
    "bring_pack": "send_technician",
}
"""What becomes of a decision where the repair could not be done that way."""


@dataclass(frozen=True)
class Remedy:
    """A repair as one role would set it going, with its minutes where it cures (`right`) and where it does not."""

    repair: str
    decision: Decision
    right: float
    wrong: float


def switch_minutes(role: Role, plant: Plant, wanted: Plant) -> float:
    """Minutes to bring the pool from its plant state to the wanted one; 0 where it is there, nobody minds, or
    the person asked stands at a counter, away from the pool."""
    if wanted in ("any", plant) or role.id == "counter":
        return 0.0
    return role.minutes["isolate"] if wanted == "isolated" else role.minutes["restore"]


def check_minutes(check: Check, role: Role, plant: Plant) -> float:
    """Minutes one more check costs here and now: its own, the question's, and the switching it needs."""
    return check.minutes[role.id] + role.minutes["question"] + switch_minutes(role, plant, check.plant)


def chance_to_say(check: Check, role: Role, brought: Collection[str]) -> float:
    """Probability that the person asked can say. 0 where the role has not what the check needs."""
    if role.id == "counter" and check.brought in brought:
        return max(BROUGHT_SAYS, check.known[role.id])
    return check.known[role.id] if check.needs in role.can_use else 0.0


def decision_for(repair: Repair, role: Role, knowledge: Knowledge, found: Collection[str] = ()) -> Decision:
    """What this role decides where this repair is the remedy; a part that is not in the van means coming back.

    Args: `found`, the parts that are in the van today though it usually lacks them.
    """
    decision = repair.decision[role.id]
    needed = (knowledge.parts[need.part] for need in repair.parts)
    if decision == "repair_here" and any(not part.in_van and part.id not in found for part in needed):
        return "order_and_return"
    return decision


def remedy_for(
    repair: Repair, role: Role, knowledge: Knowledge, here: bool = True, found: Collection[str] = ()
) -> Remedy:
    """The repair as this role's remedy, with its cost where it is right and where it is wrong.

    What cannot be done `here`, on this visit, takes another one; what the owner cannot do takes a technician.

    Wrong costs the act, the parts sold or fitted for nothing, and the trip to put it right; a part that was only
    swapped in costs the swap back.
    """
    cost = role.minutes
    decision = decision_for(repair, role, knowledge, found)
    decision = decision if here else _ELSE.get(decision, decision)
    price = sum(cost[knowledge.parts[need.part].price] for need in repair.parts)
    again = cost["return_trip"]
    hands_on = repair.minutes + (cost["isolate"] + cost["restore"] if repair.plant == "isolated" else 0.0)
    # A result that shows later ends the visit, so its failure is a trip.
    shows_later = 0.0 if repair.result_shows == "at once" else again
    lost = price if repair.swap_back is None else repair.swap_back
    right, wrong = {
        "repair_here": (hands_on, hands_on + lost + shows_later),
        "order_and_return": (again + hands_on, again + hands_on + price),
        "sell_and_treat": (cost["question"], again + price),
        "check_at_home": (cost["question"], again / 2 + price),
        "bring_cell": (cost["bring_in"], cost["bring_in"] + again / 2),
        "bring_pack": (cost["bring_in"], cost["bring_in"] + again / 2),
        "send_technician": (cost["call_out"], cost["call_out"] + again + price / 2),
        "call_electrician": (cost["electrician"], cost["electrician"] + again),
        "other_trade": (cost["electrician"], cost["electrician"] + again),
        "wait": (cost["wait"], cost["wait"] + again / 2),
        "nothing_to_repair": (cost["question"], again),
        "make_safe": (cost["isolate"], again),
        "close_pool": (cost["question"], again),
        # Nothing is ordered before the customer has decided, so no part is lost.
        "quote": (cost["call_out"], cost["call_out"] + again),
        "bring_sample": (cost["wait"], cost["wait"] + again / 2),
        "look_and_call": (cost["wait"], cost["wait"] + again / 2),
    }[decision]
    return Remedy(repair.id, decision, right, wrong)


def fallbacks(hands_on: Array, electrician: npt.NDArray[np.bool_], role: Role) -> Array:
    """Minutes where nothing tried has helped and the job is handed on: the receiver's visit, search and hands-on time.

    Args: of each fault the hands-on minutes of the repairs it would take, 0 where nobody knows them, and whether one of
    them is an electrician's.
    """
    visit = np.where(electrician, role.minutes["electrician"], role.minutes["call_out"])
    # Who comes for an unnamed fault brings no part for it, and so comes twice.
    beside = RECEIVER_FINDS_MINUTES + role.minutes["return_trip"]
    return np.asarray(visit + beside + np.where(hands_on > 0, hands_on, 60.0))

"""What is decided at the end of the questions: the remedy, or first what the customer can still bring or look at."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np

from engine.knowledge.model import DANGER_CHECK, Plant, Price, Repair
from engine.knowledge.properties import Decision
from engine.session.availability import CELL, SAMPLE, amount_hangs_on, makes_sense
from engine.session.believed import BelievedJob
from engine.session.decisions import BY_ITS_AMOUNTS, OWN_WORK
from engine.session.keeping_off import kept_off_by
from engine.strategy import Situation
from engine.strategy.costs import Remedy

BOTH_SHARE = 0.40
"""From this probability of both faults at once two remedies go together: judgement."""
KNOWN, CLEARLY = 1 / 3, 2.0
"""A cause counts as known from this share on, where it is so many times as likely as any other: judgement."""
DEAR: frozenset[Price] = frozenset({"dear", "very_dear"})
"""Classes of parts for which a written quote is worth the paper."""


def decision_now(asked: BelievedJob, remedy: Remedy | None) -> Decision:
    """What is decided where this is the remedy; None is handing on unknown.

    Away from the pool comes first what the customer can still bring or look at: where a remedy is sold by a test that
    nobody has made, and where it is worth more than sending somebody now.
    """
    if remedy is None:
        decided: Decision = "other_trade" if asked.role.id == "field" else "send_technician"
    else:
        decided = remedy.decision
    if asked.role.id == "field":
        return decided
    if decided in BY_ITS_AMOUNTS and remedy is not None:
        return "bring_sample" if _lacks_a_test(asked, asked.knowledge.repairs[remedy.repair]) else decided
    sends = decided == "send_technician" and not asked.job.made_safe and not kept_off_by(asked.knowledge, asked.job)
    return (_from_home(asked) or decided) if sends else decided


def lies_here_first(asked: BelievedJob, remedy: Remedy | None) -> Remedy | None:
    """The remedy, or before it what is due as well and done on the cell that lies at the counter.

    What the owner does with the plant running waits for the cell: it is put back first.
    """
    if remedy is None or CELL not in asked.job.brought or remedy.decision not in OWN_WORK:
        return remedy
    repairs = asked.knowledge.repairs
    if repairs[remedy.repair].plant != "running":
        return remedy
    on_the_bench = (each for each in asked.planner.remedies if each.decision == "bring_cell")
    due = (
        each for each in on_the_bench if both_share(asked, repairs[each.repair], repairs[remedy.repair]) >= BOTH_SHARE
    )
    return next(due, remedy)


def both_share(asked: BelievedJob, one: Repair, other: Repair) -> float:
    """How likely, 0 to 1, there is a fault that the one cures together with another that only the other cures."""
    model = asked.model
    by_one = np.array([cause in one.cures for cause in model.causes])
    by_other = np.array([cause in other.cures and cause not in one.cures for cause in model.causes])
    both = by_one[model.first] & by_other[model.second] | by_other[model.first] & by_one[model.second]
    return float(asked.belief[both & (model.second >= 0)].sum())


def to_quote(asked: BelievedJob) -> Remedy | None:
    """At the pool, the remedy for a cause that is known where nothing pays on this visit; None where there is none.

    What is not known is handed on; what is known and dear is the customer's to decide on, and what is not dear is come
    back for.
    """
    marginals, model, belief = asked.marginals(), asked.model, asked.belief
    cause, share = next(iter(marginals.items()))
    together = min(model.hypotheses[k] for k in np.flatnonzero(belief == belief.max()))
    others = [other for name, other in marginals.items() if name != cause and name not in together]
    others += belief[model.first < 0].tolist()
    remedies = [each for each in asked.planner.remedies if cause in asked.knowledge.repairs[each.repair].cures]
    if asked.role.id != "field" or share < KNOWN or share < CLEARLY * max(others) or not remedies:
        return None
    best = max(remedies, key=lambda each: asked.knowledge.repairs[each.repair].cures[cause])
    if best.decision != "order_and_return":
        return None
    return replace(best, decision="quote") if _is_dear(asked, asked.knowledge.repairs[best.repair]) else best


def _is_dear(asked: BelievedJob, repair: Repair) -> bool:
    """Whether a repair takes a part of a dear class: acid or a visit of its own is nothing to write a quote for."""
    return any(asked.knowledge.parts[need.part].price in DEAR for need in repair.parts)


def _lacks_a_test(asked: BelievedJob, repair: Repair) -> bool:
    """Whether the amount of a repair hangs on a test of water that was not made, and no water stands on the counter."""
    if SAMPLE in asked.job.brought:
        return False
    wanted = amount_hangs_on(asked.knowledge, repair, asked.likeliest_of(repair))
    return any(asked.knowledge.checks[name].brought == SAMPLE and name not in asked.job.answers for name in wanted)


def _from_home(asked: BelievedJob) -> Decision | None:
    """A bottle of water, or looks and a second call, where they are worth more than their wait; None for neither."""
    job, knowledge = asked.job, asked.knowledge
    roles, wait = knowledge.roles, asked.role.minutes["wait"]
    checks = (check for check in knowledge.checks.values() if check.id != DANGER_CHECK)
    left = [check for check in checks if check.id not in job.answers and makes_sense(knowledge, job, check)]
    tests = [check.id for check in left if check.brought == SAMPLE and SAMPLE not in job.brought]
    # On the phone it was looked for just now, but for what was put off until it can be seen.
    later = [
        check.id for check in left if check.needs == "nothing" and (job.role == "counter" or check.id in job.waiting)
    ]
    plant: Plant = "running" if job.plant == "running" else "isolated"

    def worth(role: str, checks: Sequence[str], brought: Collection[str]) -> float:
        asked_then = replace(roles["counter" if role == "counter" else "phone"], minutes=asked.role.minutes)
        situation = Situation(asked_then, plant, checks, job.readings, brought)
        return asked.planner.gain_of_all(asked.belief, situation) if checks else 0.0

    ways: list[tuple[float, Decision]] = [
        (worth("counter", tests, (SAMPLE,)), "bring_sample"),
        (worth("phone", later, ()), "look_and_call"),
    ]
    best, decision = max(ways)
    return decision if best > wait else None

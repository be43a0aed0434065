"""What a policy costs on a fault-finding problem: followed through every outcome, or on one drawn case; with rivals."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from engine.inference.belief import Array
from engine.strategy.decision import DecisionModel, after_failure
from engine.strategy.lookahead import Position, next_step

Policy = Callable[[DecisionModel, Position], tuple[str, int]]

IMPOSSIBLE = 1e-12
SURE = 0.9
"""The information-gain rival looks until one remedy is this probable, then repairs."""


def ours(model: DecisionModel, position: Position) -> tuple[str, int]:
    """The engine's own choice, at the depth it has in the interview."""
    return next_step(model, position)


def repairs_only(model: DecisionModel, position: Position) -> tuple[str, int]:
    """Chance over cost, never a look; hands on where that costs less than trying on."""
    return next_step(model, Position(position.belief, (), position.open_repairs, position.plant))


def information_first(model: DecisionModel, position: Position) -> tuple[str, int]:
    """Most information for its minutes until one remedy is sure, then repairs."""
    remedies = model.by_remedy(position.belief[None, :])[0]
    if remedies.max() >= SURE or not position.looks:
        return repairs_only(model, position)
    told = [(_bits(model, position, k) / look.minutes[position.plant], -k) for k, look in enumerate(position.looks)]
    best = max(told)
    return ("look", -best[1]) if best[0] > 1e-9 else repairs_only(model, position)


def cheapest_first(model: DecisionModel, position: Position) -> tuple[str, int]:
    """The published static rival: every look, cheapest first, then every repair, cheapest first."""
    if position.looks:
        return "look", int(np.argmin([look.minutes[position.plant] for look in position.looks]))
    return _cheapest_repair(model, position)


def random_order(seed: int) -> Policy:
    """Any open look or repair, each as likely; the job is handed on when all is done."""
    rng = np.random.default_rng(seed)

    def choose(_model: DecisionModel, position: Position) -> tuple[str, int]:
        steps = [("look", k) for k in range(len(position.looks))]
        steps += [("repair", int(r)) for r in np.flatnonzero(position.open_repairs)]
        return steps[int(rng.integers(len(steps)))] if steps else ("hand_on", 0)

    return choose


def expected_minutes(model: DecisionModel, position: Position, policy: Policy = ours) -> float:
    """Exact expected minutes of a policy to the end of the job, weighed by the position's belief as it stands."""
    mass = float(position.belief.sum())
    if mass <= IMPOSSIBLE:
        return 0.0
    kind, k = policy(model, replace(position, belief=position.belief / mass))
    if kind == "hand_on":
        return float(position.belief @ model.hand_on)
    if kind == "repair":
        then = after_repair(model, position, k)
        still = float(then.belief.sum())
        right, wrong = model.right[position.plant, k], model.wrong[position.plant, k]
        return float((mass - still) * right + still * wrong) + expected_minutes(model, then, policy)
    look = position.looks[k]
    said = sum(expected_minutes(model, after_look(position, k, a), policy) for a in range(len(look.outcomes)))
    unsaid = expected_minutes(model, after_look(position, k, None), policy) if look.chance < 1.0 else 0.0
    return mass * look.minutes[position.plant] + look.chance * said + (1.0 - look.chance) * unsaid


def after_look(position: Position, k: int, answer: int | None) -> Position:
    """The position after look k showed an answer, or could not be said (None); the belief is not normalised."""
    look = position.looks[k]
    belief = position.belief if answer is None else position.belief * look.outcomes[answer]
    rest = position.looks[:k] + position.looks[k + 1 :]
    return Position(belief, rest, position.open_repairs, look.leaves[position.plant])


def after_repair(model: DecisionModel, position: Position, repair: int) -> Position:
    """The position after a repair that did not help; the belief is not normalised."""
    still_open = position.open_repairs.copy()
    still_open[repair] = False
    belief: Array = after_failure(model, position.belief[None, :], repair)[0]
    return Position(belief, position.looks, still_open, int(model.leaves[position.plant, repair]))


def _cheapest_repair(model: DecisionModel, position: Position) -> tuple[str, int]:
    opened = np.flatnonzero(position.open_repairs)
    if not len(opened):
        return "hand_on", 0
    return "repair", int(opened[np.argmin(model.wrong[position.plant, opened])])


def _bits(model: DecisionModel, position: Position, k: int) -> float:
    """Expected information of look k on the remedy, in bits."""

    def entropy(shares: Array) -> float:
        kept = shares[shares > 0]
        return float(-(kept * np.log2(kept)).sum())

    look, now = position.looks[k], position.belief
    seen = [(float(j.sum()), j) for j in look.outcomes * now]
    after = sum(mass * entropy(model.by_remedy(joint[None, :] / mass)[0]) for mass, joint in seen if mass > IMPOSSIBLE)
    return look.chance * (entropy(model.by_remedy(now[None, :])[0]) - after)

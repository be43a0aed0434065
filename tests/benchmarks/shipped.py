"""Drawn cases on the shipped trees: the model that generates them, and one case followed to its end."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from engine.belief import Array
from engine.model import DANGER_CHECK, Role, RoleId, Tree
from engine.steps import Walk
from engine.strategy import Planner, Situation
from engine.strategy.decision import DecisionModel, Look
from engine.strategy.lookahead import Position, worths
from engine.strategy.options import finding_looks, single_looks
from tests.benchmarks.policies import Policy, after_look, after_repair, repairs_only
from tests.shipped import knowledge, models

__all__ = ["Case", "Setting", "draw", "follow", "noisy", "setting", "settings", "settle", "written_order"]

KNOWLEDGE = knowledge()


@dataclass(frozen=True)
class Setting:
    """A tree as one role meets it. Derived findings stand as looks that take all their readings."""

    tree: Tree
    role: Role
    planner: Planner
    prior: Array
    looks: tuple[Look, ...]

    @property
    def model(self) -> DecisionModel:
        """Repairs and costs."""
        return self.planner.decision

    def start(self) -> Position:
        """Nothing asked or done."""
        return Position(self.prior, self.looks, np.ones(len(self.model.repairs), dtype=bool))


@dataclass(frozen=True)
class Case:
    """What is wrong, and the chances that decide each look and repair: every policy meets the same."""

    hypothesis: int
    said: dict[str, tuple[float, float]]
    cured: Array


def setting(tree: str, role: RoleId) -> Setting:
    """One tree and role of the shipped knowledge, from the first question on."""
    model, who = models().tree(tree), KNOWLEDGE.roles[role]
    unit = KNOWLEDGE.units["default"]
    brought = ("water_sample",) if role == "counter" else ()
    checks = [c for c in KNOWLEDGE.checks if c != DANGER_CHECK]
    now = Situation(who, "running", checks, {}, brought)
    several = [replace(look, id=f"{look.id}+") for look, _ in finding_looks(KNOWLEDGE, model, unit, now)]
    looks = (*single_looks(KNOWLEDGE, model, unit, now), *several)
    return Setting(KNOWLEDGE.trees[tree], who, Planner(KNOWLEDGE, model, who, unit), model.prior, looks)


def settings() -> list[Setting]:
    """Every tree in every role."""
    roles: tuple[RoleId, ...] = ("counter", "phone", "field")
    return [setting(tree, role) for tree in KNOWLEDGE.trees for role in roles]


def noisy(where: Setting, sd: float, rng: np.random.Generator) -> Setting:
    """The same setting as it would be with wrong probabilities: normal noise of this sd on every base-10 log odds."""

    def moved(table: Array) -> Array:
        safe = np.clip(table, 1e-6, 1.0 - 1e-6)
        odds = np.log10(safe / (1.0 - safe)) + rng.normal(0.0, sd, table.shape)
        wrong = 1.0 / (1.0 + 10.0**-odds)
        return np.asarray(wrong / wrong.sum(axis=0))

    looks = tuple(replace(look, outcomes=moved(look.outcomes)) for look in where.looks)
    return replace(where, prior=moved(where.prior), looks=looks)


def draw(where: Setting, rng: np.random.Generator) -> Case:
    """A case by the setting's own probabilities."""
    hypothesis = int(rng.choice(len(where.prior), p=where.prior))
    said = {look.id: (float(rng.random()), float(rng.random())) for look in where.looks}
    return Case(hypothesis, said, rng.random(where.model.cures.shape))


def follow(truth: Setting, believed: Setting, case: Case, policy: Policy) -> float:
    """Minutes that a policy takes to the end of a case, where it believes one setting and another is true."""
    model, position = truth.model, believed.start()
    tables = {look.id: look.outcomes for look in truth.looks}
    present, minutes, asked = case.hypothesis, 0.0, 0
    while True:
        if asked >= truth.role.limit:
            position = replace(position, looks=())
        kind, k = policy(model, position)
        if kind == "hand_on":
            return minutes + float(model.hand_on[present])
        if kind == "look":
            look = position.looks[k]
            asked += 1
            minutes += look.minutes[position.plant]
            position = _normal(after_look(position, k, _answer(case, look, tables[look.id][:, present])))
            continue
        left = _left(model, present, case.cured[k] < model.cures[k])
        if left is None:
            return minutes + float(model.right[position.plant, k])
        minutes += float(model.wrong[position.plant, k])
        present, position = left, _normal(after_repair(model, position, k))


def settle(believed: Setting, truth: Setting, case: Case, most: float = np.inf) -> tuple[Array, float]:
    """Ask as the engine does where no repair may be tried, until nothing pays; the belief then and the minutes.

    With `most`, the information-gain rival: it asks what tells most for its minutes until those are spent.
    """
    position, minutes = believed.start(), 0.0
    tables = {look.id: look.outcomes for look in truth.looks}
    for _ in range(truth.role.limit):
        found = worths(believed.planner.naming, position, tries=1)
        if np.isinf(most):
            value, k = max((w.gain - w.minutes, -k) for k, w in enumerate(found))
        else:
            value, k = max((w.look.chance * w.bits / w.minutes, -k) for k, w in enumerate(found))
        look = position.looks[-k]
        if value <= 0 or minutes + look.minutes[position.plant] > most + 1e-9:
            break
        minutes += look.minutes[position.plant]
        answer = _answer(case, look, tables[look.id][:, case.hypothesis])
        position = _normal(after_look(position, -k, answer))
    return position.belief, minutes


def written_order(where: Setting) -> Policy:
    """The tree's own written steps, then repairs by chance over cost."""
    walk = Walk(where.tree)

    def choose(model: DecisionModel, position: Position) -> tuple[str, int]:
        names = [look.id for look in position.looks]
        while walk.asks is not None and walk.asks not in names:
            walk.fire("answer", None)
        if walk.asks is not None:
            return "look", names.index(walk.asks)
        return repairs_only(model, position)

    return choose


def _answer(case: Case, look: Look, chances: Array) -> int | None:
    can, which = case.said[look.id]
    if can >= look.chance:
        return None
    return min(int(np.searchsorted(np.cumsum(chances), which * chances.sum(), side="right")), len(chances) - 1)


def _left(model: DecisionModel, present: int, cured: Array) -> int | None:
    """The hypothesis that is left after these causes were cured; None where nothing is."""
    causes = [int(c) for c in (model.first[present], model.second[present]) if c >= 0]
    if not causes:
        return present
    still = [c for c in causes if not cured[c]]
    if not still:
        return None
    if len(still) == len(causes):
        return present
    return int(np.flatnonzero((model.first == still[0]) & (model.second < 0))[0])


def _normal(position: Position) -> Position:
    total = float(position.belief.sum())
    return replace(position, belief=position.belief / total)

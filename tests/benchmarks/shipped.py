"""Drawn cases on the shipped trees: the model that generates them, and one case followed to its end."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from engine.inference.belief import Array, TreeModel
from engine.inference.compiling import compile_tree
from engine.knowledge.model import DANGER_CHECK, Knowledge, Role, RoleId, Tree
from engine.strategy import Planner, Situation
from engine.strategy.decision import DecisionModel, Look
from engine.strategy.lookahead import Position, worths
from engine.strategy.options import finding_looks, outcomes, single_looks
from tests.benchmarks.policies import Policy, after_look, after_repair, repairs_only
from tests.shipped import knowledge, models

KNOWLEDGE = knowledge()
MOST_SAID = 0.99
"""What a cause states of a check never grows beyond this under noise, where it left room for the unsaid."""


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
    planner = Planner(KNOWLEDGE, model, who, KNOWLEDGE.units["default"])
    return Setting(KNOWLEDGE.trees[tree], who, planner, model.prior, _looks(KNOWLEDGE, model, who))


def _looks(known: Knowledge, model: TreeModel, role: Role) -> tuple[Look, ...]:
    unit = known.units["default"]
    brought = ("water_sample",) if role.id == "counter" else ()
    checks = [c for c in known.checks if c != DANGER_CHECK]
    now = Situation(role, "running", checks, {}, brought)
    together = finding_looks(known, model, unit, now)
    several = [replace(look, id=f"{look.id}+{k}") for k, (look, _) in enumerate(together)]
    single = single_looks(known, now, lambda check, at: outcomes(known, model, unit, check, at.answers))
    return (*single, *several)


def settings() -> list[Setting]:
    """Every tree in every role."""
    roles: tuple[RoleId, ...] = ("counter", "phone", "field")
    return [setting(tree, role) for tree in KNOWLEDGE.trees for role in roles]


def noisy(where: Setting, sd: float, rng: np.random.Generator) -> Setting:
    """The same setting with wrong probabilities: normal noise of this sd on the base-10 log odds of what is stated.

    Stated are the usual answers, what causes show, and the shares of the causes and named pairs; costs stay.
    """

    def moved(shares: Mapping[str, float]) -> Mapping[str, float]:
        wrong = {key: _moved(p, sd, rng) for key, p in shares.items()}
        total = sum(wrong.values())
        # What was the whole stays the whole; what left room for the unsaid leaves some.
        whole = sum(shares.values()) > 1.0 - 1e-9
        scale = total if whole else max(1.0, total / MOST_SAID)
        return {key: p / scale for key, p in wrong.items()}

    known, tree = KNOWLEDGE, where.tree
    wrong = replace(
        known,
        checks={c.id: replace(c, usual=moved(c.usual)) for c in known.checks.values()},
        findings={f.id: replace(f, usual=moved(f.usual)) for f in known.findings.values()},
        causes={
            c.id: replace(c, shows={check: moved(said) for check, said in c.shows.items()})
            for c in known.causes.values()
        },
    )
    here = {cause: {check: moved(said) for check, said in checks.items()} for cause, checks in tree.here.items()}
    pairs = {pair: _moved(share, sd, rng) for pair, share in tree.pairs.items()}
    model = compile_tree(wrong, replace(tree, singles=moved(tree.singles), here=here, pairs=pairs))
    return replace(where, prior=model.prior, looks=_looks(wrong, model, where.role))


def _moved(share: float, sd: float, rng: np.random.Generator) -> float:
    if not 0.0 < share < 1.0:
        return share
    odds = share / (1.0 - share) * math.exp(math.log(10.0) * float(rng.normal(0.0, sd)))
    return odds / (1.0 + odds)


def draw(where: Setting, rng: np.random.Generator) -> Case:
    """A case by the setting's own probabilities."""
    hypothesis = int(rng.choice(len(where.prior), p=where.prior))
    said = {look.id: (float(rng.random()), float(rng.random())) for look in where.looks}
    return Case(hypothesis, said, rng.random(where.model.cures.shape))


def follow(truth: Setting, believed: Setting, case: Case, policy: Policy) -> float:
    """Minutes that a policy takes to the end of a case, where it believes one setting and another is true.

    Every policy may ask no more than the role's limit of questions.
    """
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
    steps = where.tree.steps

    def choose(model: DecisionModel, position: Position) -> tuple[str, int]:
        names = [look.id for look in position.looks]
        step = next(iter(steps.values()), None)
        while step is not None and step.ask is not None:
            if step.ask in names:
                return "look", names.index(step.ask)
            step = steps.get(step.otherwise or "")
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

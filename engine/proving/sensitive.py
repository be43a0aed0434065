"""Which numbers matter: what halving or doubling each does to drawn pools, in minutes lost."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from engine.evaluation.calls import WorkedCall
from engine.evaluation.simulate import run_answered
from engine.inference.belief import Array, Evidence, TreeModel, joint_weight, likelihood
from engine.inference.compiling import compile_tree
from engine.knowledge.model import DANGER_CHECK, ROLES, Knowledge, Role, RoleId, UnitProfile, frozen
from engine.knowledge.required import DEFAULT_UNIT
from engine.proving.drawn import Drawing, answering
from engine.proving.numbers import LIKELIER, Number, numbers_of, with_number
from engine.session.models import Models
from engine.strategy import Planner

_MOST_SHARE = 0.98
_TINY = 1e-300


@dataclass(frozen=True)
class Sensitive:
    """One number, and what its halving and its doubling do to the drawn pools.

    `lost` is the mean of minutes lost a pool where the number were wrong that way (the worse of the two), `moved` in
    how many of all pools another fault is then named first. `halving`: whether that is by halving.
    """

    number: Number
    value: float
    lost: float
    moved: int
    halving: bool


@dataclass(frozen=True)
class _Pool:
    """One drawn pool as it was answered: who asked, what was found, and what is believed."""

    role: RoleId
    found: tuple[Evidence, ...]
    belief: Array


def answered_pools(models: Models, tree: str, count: int, seed: int, role: RoleId | None) -> Iterator[_Pool]:
    """So many pools, drawn and interviewed; those that danger ended are left out."""
    model, drawing = models.tree(tree), Drawing(tree, role, seed=seed)
    for number in range(count):
        rng = np.random.default_rng([seed, number])
        place = int(rng.choice(len(model.prior), p=model.prior / model.prior.sum()))
        who = role or ROLES[number % len(ROLES)]
        call = WorkedCall(str(number), who, tree, DEFAULT_UNIT, (), frozen({}), (), None)
        run = run_answered(models, call, answering(models, drawing, rng, place))
        if run.session.job.danger is None:
            yield _Pool(who, run.session.evidence, run.session.belief)


def sensitive(
    models: Models, tree: str, pools: Sequence[_Pool], told: Callable[[int, int], None]
) -> tuple[Sensitive, ...]:
    """Every number that these pools meet, the most minutes lost first; those that move nothing are left out.

    The answers stay as they were asked. What is lost is reckoned by the folder as it is: what is decided with the
    changed number, less what is decided with the right one, both at what they cost where the folder is right.

    Args: `told` is called with how many numbers are done, and of how many.
    """
    bench = _Bench(models, tree, pools)
    wanted = [item for item in numbers_of(models.knowledge).items() if bench.meets(item[0])]
    found = []
    for done, (number, value) in enumerate(wanted):
        told(done, len(wanted))
        ways = [(bench.with_value(number, changed), changed < value) for changed in _changed(number, value)]
        if ways:
            (lost, moved), halving = max(ways)
            found.append(Sensitive(number, value, lost, moved, halving))
    return tuple(sorted((one for one in found if one.lost > 0 or one.moved), key=lambda one: (-one.lost, -one.moved)))


def _changed(number: Number, value: float) -> list[float]:
    """Half and twice a number, as far as it can go."""
    if value <= 0:
        return []
    unbounded = number.path[0] == LIKELIER or number.kind in ("role",) or number.path == ("minutes",)
    return [value / 2, value * 2 if unbounded else min(value * 2, max(_MOST_SHARE, value))]


class _Bench:
    """Pools with their beliefs, and what each decision costs each hypothesis."""

    def __init__(self, models: Models, tree: str, pools: Sequence[_Pool]) -> None:
        self._knowledge, self._tree = models.knowledge, models.knowledge.trees[tree]
        self._model = models.tree(tree)
        self._pools = pools
        self._roles = sorted({pool.role for pool in pools})
        self._rows = {role: [k for k, pool in enumerate(pools) if pool.role == role] for role in self._roles}
        self._beliefs = np.array([pool.belief for pool in pools])
        # Not the beliefs' own logarithms: what is impossible now may be possible with another number.
        self._logs = np.array([joint_weight(self._model, pool.found) for pool in pools])
        self._costs = {role: self._cost(self._knowledge, self._model, role) for role in self._roles}
        self._spoken = {found.id for pool in pools for found in pool.found}
        self._first = np.argmax(self._beliefs, axis=1)
        self._choice = self._chosen(self._beliefs, self._costs)
        self._paid = self._minutes(self._choice)

    def meets(self, number: Number) -> bool:
        """Whether a number has a say in these pools; what is so of danger, and of kinds of units, is left out."""
        tree, path = self._tree, number.path
        causes = {cause for cause in tree.singles if cause in self._knowledge.causes}
        match number.kind:
            case "tree":
                return number.entry == tree.id and (path[0] != "here" or path[2] in self._spoken)
            case "cause":
                return number.entry in causes and path[1] in self._spoken
            case "check" | "finding":
                return path[0] == "usual" and number.entry in self._spoken and number.entry != DANGER_CHECK
            case "repair":
                return any(number.entry in self._knowledge.causes[cause].repairs for cause in causes)
            case "role":
                return number.entry in self._roles and path[0] == "minutes"
            case _:
                return False

    def with_value(self, number: Number, value: float) -> tuple[float, int]:
        """Mean minutes lost and pools in which another fault is named first, where a number has another value."""
        if number.kind in ("repair", "role"):
            changed = with_number(self._knowledge, number, value)
            costs = {role: self._cost(changed, self._model, role) for role in self._roles}
            return self._lost(self._beliefs, costs), 0
        beliefs = self._believed(number, value)
        return self._lost(beliefs, self._costs), int((np.argmax(beliefs, axis=1) != self._first).sum())

    def _believed(self, number: Number, value: float) -> Array:
        item = number.entry if number.kind in ("check", "finding") else number.path[-2] if len(number.path) > 2 else ""
        small = replace(self._knowledge, checks=frozen({}), findings=frozen({}))
        if item:
            keep = {name: check for name, check in self._knowledge.checks.items() if name == item}
            also = {name: finding for name, finding in self._knowledge.findings.items() if name == item}
            small = replace(small, checks=frozen(keep), findings=frozen(also))
        tree = replace(self._tree, given=frozen({n: a for n, a in self._tree.given.items() if n == item}))
        small = replace(small, trees=frozen({tree.id: tree}))
        made = with_number(small, number, value)
        model = compile_tree(made, made.trees[tree.id])
        logs = self._logs
        if item:
            moved = np.zeros_like(logs)
            for k, pool in enumerate(self._pools):
                for found in pool.found:
                    if found.id == item:
                        after, before = (np.maximum(likelihood(m, found), _TINY) for m in (model, self._model))
                        moved[k] = np.log(after) - np.log(before)
            logs = logs + moved
        else:
            logs = logs + (np.log(np.maximum(model.prior, _TINY)) - np.log(np.maximum(self._model.prior, _TINY)))
        raised = np.exp(logs - logs.max(axis=1, keepdims=True))
        return np.asarray(raised / raised.sum(axis=1, keepdims=True))

    def _lost(self, beliefs: Array, costs: dict[RoleId, Array]) -> float:
        paid = self._minutes(self._chosen(beliefs, costs))
        return math.fsum((paid - self._paid).tolist()) / len(self._pools)

    def _chosen(self, beliefs: Array, costs: dict[RoleId, Array]) -> Array:
        """The remedy that is expected to cost least, by pool; the last one is handing on."""
        chosen = np.zeros(len(self._pools), dtype=np.intp)
        for role, rows in self._rows.items():
            chosen[rows] = np.argmin(beliefs[rows] @ costs[role].T, axis=1)
        return np.asarray(chosen)

    def _minutes(self, chosen: Array) -> Array:
        """What remedies cost on average where the folder is right, by pool."""
        paid = np.zeros(len(self._pools))
        for role, rows in self._rows.items():
            expected = self._beliefs[rows] @ self._costs[role].T
            paid[rows] = expected[np.arange(len(rows)), chosen[rows]]
        return paid

    @staticmethod
    def _cost(knowledge: Knowledge, model: TreeModel, role: RoleId) -> Array:
        """Minutes of each remedy, then of handing on, by hypothesis: shape (remedies + 1, hypotheses)."""
        who: Role = knowledge.roles[role]
        unit: UnitProfile = knowledge.units[DEFAULT_UNIT]
        decision = Planner(knowledge, model, who, unit).decision
        one = np.where(decision.first >= 0, decision.cures[:, decision.first], 0.0)
        two = np.where(decision.second >= 0, decision.cures[:, decision.second], 1.0)
        cured = one * two
        lost = decision.wrong[0][:, None] + decision.hand_on[None, :]
        table = cured * decision.right[0][:, None] + (1.0 - cured) * lost
        return np.concatenate([table, decision.hand_on[None, :]])

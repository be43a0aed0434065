"""The strategy of one tree, role and unit profile: the knowledge as a decision model, and what it recommends."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal, NamedTuple, TypeVar

import numpy as np

from engine.inference.belief import Array, TreeModel, causes_marginal
from engine.knowledge.model import Check, Knowledge, Plant, Role, UnitProfile
from engine.strategy import lookahead
from engine.strategy.costs import Remedy, fallback_minutes, remedy_for
from engine.strategy.decision import DecisionModel, Look, decision_model
from engine.strategy.lookahead import Position, Worth, settles
from engine.strategy.options import PLANTS, Situation, Terms, finding_looks, kin, outcomes, shown, terms_of
from engine.strategy.sequence import MOST_TRIES, act

Aim = Literal["mend", "settle"]
"""`mend`: repairs may be tried one after another. `settle`: one remedy is named once, and a wrong one costs."""

Kept = TypeVar("Kept")
Key = tuple[object, ...]
MOST_KEPT = 1000
"""Tables and appraisals kept at a time; a table takes some 20 kB."""
FEWEST_OF_NOTE = 0.005
"""A cause less likely than this both before and after an outcome is left out of the explanation."""


class Appraisal(NamedTuple):
    """What one check is worth now. All in minutes, except `bits`: expected information on the remedy, and `chance`.

    Where a check pays only together with others that a derived finding needs, the figures are those of them together.
    """

    check: str
    minutes: float
    chance: float
    gain: float
    bits: float

    @property
    def worth(self) -> float:
        """Expected minutes saved by asking, after its own cost; above 0 it pays."""
        return self.gain - self.minutes


@dataclass(frozen=True)
class Outcome:
    """One thing a check may show: how likely, and each cause's probability before and after, most probable first.

    `answer` is the answer's id, for a number the band that the reading falls in.
    """

    answer: str
    probability: float
    causes: tuple[tuple[str, float, float], ...]


@dataclass(frozen=True)
class Explanation:
    """Why a check is proposed: what it costs and is worth, whether it may settle the remedy, what it may show."""

    appraisal: Appraisal
    settles: bool
    outcomes: tuple[Outcome, ...]


MOST_TOGETHER = 4
"""So many checks at once are reckoned through: with eight outcomes each, four thousand in all."""


class Planner:
    """Appraises checks and remedies for one tree, role and unit profile; holds no state of the job."""

    def __init__(
        self,
        knowledge: Knowledge,
        model: TreeModel,
        role: Role,
        unit: UnitProfile,
        failed: Collection[str] = (),
        left: Collection[str] = (),
        found: Collection[str] = (),
    ) -> None:
        """Args: repairs that `failed`, for which a cause's others stand in; `left`, those that cannot be done here;
        parts `found` in the van, which usually lacks them.
        """
        self._knowledge, self._tree, self._role, self._unit = knowledge, model, role, unit
        # What a check may show changes only with the readings it belongs with; working it out is the slow part.
        self._tables: dict[Key, Array] = {}
        self._appraised: dict[Key, list[Appraisal]] = {}
        self._looks: dict[Key, Look] = {}
        self._together: dict[Key, list[tuple[Look, tuple[str, ...]]]] = {}
        self._terms: dict[Key, dict[str, Terms]] = {}
        self._kin = {name: kin(knowledge, name) for name in knowledge.checks}
        self._inputs = tuple(dict.fromkeys(name for each in knowledge.findings.values() for name in each.inputs))
        still = {c: [r for r in knowledge.causes[c].repairs if r not in failed] for c in model.causes}
        self._choice = {cause: repairs[0] for cause, repairs in still.items() if repairs}
        names = tuple(dict.fromkeys(r for repairs in still.values() for r in repairs))
        self.remedies: tuple[Remedy, ...] = tuple(
            remedy_for(knowledge.repairs[r], role, knowledge, r not in left, found) for r in names
        )
        self.decision: DecisionModel = self._decision_model(names)
        # Where the right remedy is only to be named, how surely it then works makes no difference.
        self.naming: DecisionModel = replace(self.decision, cures=np.ceil(self.decision.cures))

    def _decision_model(self, names: tuple[str, ...]) -> DecisionModel:
        knowledge, causes = self._knowledge, self._tree.causes
        repairs = [knowledge.repairs[r] for r in names]
        place = {cause: k for k, cause in enumerate(causes)}
        cures = np.array([[r.cures.get(c, 0.0) for c in causes] for r in repairs]).reshape(len(repairs), len(causes))
        at_pool = np.array([m.decision == "repair_here" for m in self.remedies], dtype=bool)
        # Where the supply is off already, a repair that needs it off saves the switching.
        saved = [
            self._role.minutes["isolate"] * (r.plant == "isolated" and m.decision == "repair_here")
            for r, m in zip(repairs, self.remedies, strict=True)
        ]
        off = np.array([[0.0] * len(repairs), saved])
        hand_on = [
            fallback_minutes([knowledge.repairs[self._choice[c]] for c in h if c in self._choice], self._role)
            for h in self._tree.hypotheses
        ]
        return decision_model(
            [tuple(place[c] for c in h) for h in self._tree.hypotheses],
            cures,
            np.array([m.right for m in self.remedies])[None, :] - off,
            np.array([m.wrong for m in self.remedies])[None, :] - off,
            np.array(hand_on),
            repairs=names,
            leaves=np.zeros((len(PLANTS), len(repairs)), dtype=np.intp),
            choice=np.array(
                [names.index(self._choice[c]) if c in self._choice else len(names) for c in causes], dtype=np.intp
            ),
            goes_on=at_pool & np.array([r.result_shows == "at once" for r in repairs], dtype=bool),
            swaps=at_pool & np.array([r.swap_back is not None for r in repairs], dtype=bool),
        )

    def act_now(self, belief: Array, aim: Aim, plant: Plant = "running") -> tuple[Remedy | None, float]:
        """The remedy to set going without another check, and its expected minutes; None is handing on unknown.

        Args: belief over hypotheses, shape (hypotheses,); the plant as it is, as checks are appraised from there.
        """
        opened = np.ones((1, len(self.remedies)), dtype=bool)
        start = np.array([PLANTS.index(plant)], dtype=np.intp)
        cost, first = act(self.decision, belief[None, :], opened, start, _tries(aim))
        index = int(first[0])
        return (self.remedies[index] if index < len(self.remedies) else None), float(cost[0])

    def appraise(self, belief: Array, situation: Situation, aim: Aim) -> list[Appraisal]:
        """Every open check with what it is worth now, best first; see engine/strategy/lookahead.py."""
        # A question is put, explained, gone back to and taken up again: what it is worth is the same each time.
        key = (aim, belief.tobytes(), *_key(situation))
        return _once(self._appraised, key, lambda: self._appraise(belief, situation, aim)).copy()

    def _appraise(self, belief: Array, situation: Situation, aim: Aim) -> list[Appraisal]:
        single, several = self._single_looks(situation), self._finding_looks(situation)
        looks = (*single, *(look for look, _ in several))
        opened = np.ones(len(self.remedies), dtype=bool)
        position = Position(belief, looks, opened, PLANTS.index(situation.plant))
        found = lookahead.worths(self.naming if aim == "settle" else self.decision, position, _tries(aim))
        telling = {w.look.id: w.look.chance * w.bits / w.minutes for w in found[: len(single)]}
        # Of several readings wanted together, the one that tells most for its minutes comes first.
        leading = [max(checks, key=lambda c: (telling[c], c)) for _, checks in several]
        names = [*(look.id for look in single), *leading]
        best: dict[str, Appraisal] = {}
        for appraisal in sorted(map(_appraisal, found, names), key=lambda a: (-a.worth, a.check)):
            best.setdefault(appraisal.check, appraisal)
        return list(best.values())

    def _single_looks(self, now: Situation) -> list[Look]:
        """Every open check that the person asked may be able to say."""
        whose = (*_role_key(now.role), *now.brought)
        terms = _once(self._terms, whose, lambda: terms_of(self._knowledge, now.role, now.brought))
        looks = []
        for name in now.open_checks:
            if (found := terms.get(name)) is None:
                continue
            key = (name, found.minutes, found.chance, self._readings_by(name, now))
            look = self._looks.get(key)
            if look is None:
                table = self.outcomes(self._knowledge.checks[name], now)
                look = _once(self._looks, key, partial(Look, name, found.minutes, table, found.chance, found.leaves))
            looks.append(look)
        return looks

    def _finding_looks(self, now: Situation) -> list[tuple[Look, tuple[str, ...]]]:
        """Findings that lack several readings; they hang on the readings of findings alone, said or still open."""
        opened, answers = set(now.open_checks), now.answers
        said = tuple((name in opened, answers.get(name)) for name in self._inputs)
        key = (*_role_key(now.role), *now.brought, said)
        return _once(self._together, key, lambda: finding_looks(self._knowledge, self._tree, self._unit, now))

    def _readings_by(self, name: str, now: Situation) -> Key:
        """The readings on which it hangs what a check may show."""
        return tuple((near, now.answers[near].value) for near in self._kin[name] if near in now.answers)

    def gain_of_all(self, belief: Array, situation: Situation) -> float:
        """Expected minutes saved by what the open checks show together, before anything is done; what they cost is not
        taken off. Of many the most telling count, which is a little less than all.
        """
        looks = tuple(self._single_looks(situation))
        opened = np.ones(len(self.remedies), dtype=bool)
        position = Position(belief, looks, opened, PLANTS.index(situation.plant))
        found = sorted(lookahead.worths(self.decision, position, MOST_TRIES), key=lambda worth: -worth.bits)
        joint = belief[None, :]
        for worth in found[:MOST_TOGETHER]:
            table = self.outcomes(self._knowledge.checks[worth.look.id], situation)
            joint = (joint[:, None, :] * table[None, :, :]).reshape(-1, len(belief))
        joint = joint[joint.sum(axis=1) > 1e-9]
        start = np.full(len(joint), PLANTS.index(situation.plant), dtype=np.intp)
        minutes, _ = act(self.decision, joint, np.ones((len(joint), len(self.remedies)), dtype=bool), start, MOST_TRIES)
        return self.act_now(belief, "mend", situation.plant)[1] - float(minutes.sum())

    def explain(self, belief: Array, situation: Situation, aim: Aim, check: str) -> Explanation:
        """Why this check is proposed: its cost, what it may show, how each outcome would move the ranking.

        Raises LookupError where the check is not open to this person here.
        """
        appraisal = next((a for a in self.appraise(belief, situation, aim) if a.check == check), None)
        if appraisal is None:
            raise LookupError(f"{check} is not a check that could be asked now")
        joint = self.outcomes(self._knowledge.checks[check], situation) * belief
        before = causes_marginal(self._tree, belief)
        found = []
        for answer, together in self._by_answer(check, joint).items():
            chance = float(together.sum())
            after = causes_marginal(self._tree, together / max(chance, 1e-300))
            moved = [(c, before[c], p) for c, p in after.items() if max(before[c], p) >= FEWEST_OF_NOTE]
            found.append(Outcome(answer, chance, tuple(moved)))
        return Explanation(appraisal, settles(self.decision, joint), tuple(found))

    def may_show(self, belief: Array, situation: Situation, check: str) -> dict[str, float]:
        """How likely each answer of a check is; of a number, each band. They add up to 1."""
        joint = self.outcomes(self._knowledge.checks[check], situation) * belief
        return {answer: float(together.sum()) for answer, together in self._by_answer(check, joint).items()}

    def _by_answer(self, check: str, joint: Array) -> dict[str, Array]:
        """P(answer and hypothesis) by the answer, from that of each outcome, shape (outcomes, hypotheses)."""
        ids = shown(self._tree, self._knowledge.checks[check], len(joint))
        return {
            answer: joint[[k for k, name in enumerate(ids) if name == answer]].sum(axis=0)
            for answer in dict.fromkeys(ids)
        }

    def order(self, belief: Array) -> list[tuple[Remedy, float, tuple[str, ...]]]:
        """Remedies by chance over cost, each with the probability that the fault includes one it is chosen for."""
        shares = {remedy.repair: 0.0 for remedy in self.remedies}
        for hypothesis, share in zip(self._tree.hypotheses, belief, strict=True):
            for repair in {self._choice[c] for c in hypothesis if c in self._choice}:
                shares[repair] += float(share)
        return [
            (remedy, shares[remedy.repair], tuple(c for c, r in self._choice.items() if r == remedy.repair))
            for remedy in sorted(self.remedies, key=lambda r: (-shares[r.repair] / r.wrong, r.repair))
        ]

    def outcomes(self, check: Check, situation: Situation) -> Array:
        """P(outcome | hypothesis) of asking a check now, shape (outcomes, hypotheses); columns sum to 1."""
        key = (check.id, self._readings_by(check.id, situation))
        return _once(
            self._tables, key, lambda: outcomes(self._knowledge, self._tree, self._unit, check, situation.answers)
        )


def _once(kept: dict[Key, Kept], key: Key, make: Callable[[], Kept]) -> Kept:
    """What is kept under a key, else made and kept; another thread may throw it all away meanwhile."""
    found = kept.get(key)
    if found is None:
        found = make()
        if len(kept) >= MOST_KEPT:
            kept.clear()
        kept[key] = found
    return found


def _key(now: Situation) -> Key:
    """All of a situation that decides what a check is worth."""
    return _role_key(now.role), now.plant, tuple(now.open_checks), tuple(now.brought), frozenset(now.answers.items())


def _role_key(role: Role) -> Key:
    """All of a role that decides what a check is worth; roles that pay otherwise are made up as they are needed."""
    return role.id, role.can_use, *role.minutes.values()


def _tries(aim: Aim) -> int:
    return 1 if aim == "settle" else MOST_TRIES


def _appraisal(worth: Worth, check: str) -> Appraisal:
    return Appraisal(check, worth.minutes, worth.look.chance, worth.gain, worth.bits)

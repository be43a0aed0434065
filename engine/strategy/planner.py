"""The strategy of one tree, role and unit profile: the knowledge as a decision model, and what it recommends."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from hashlib import blake2b
from typing import Literal, NamedTuple

import numpy as np

from engine.inference.belief import Array, Indices, TreeModel, causes_marginal
from engine.knowledge.model import Check, Knowledge, Plant, Repair, Role, UnitProfile
from engine.strategy import lookahead
from engine.strategy.costs import Remedy, fallbacks, remedy_for
from engine.strategy.decision import DecisionModel
from engine.strategy.kept_looks import MOST_KEPT, KeptLooks, Key, MadeOnce, role_key
from engine.strategy.lookahead import Position, settles
from engine.strategy.options import PLANTS, Situation, shown
from engine.strategy.sequence import MOST_TRIES, act

Aim = Literal["mend", "settle"]
"""`mend`: repairs may be tried one after another. `settle`: one remedy is named once, and a wrong one costs."""

EACH_LOOKED_AT_UPTO = 1_500
"""In a tree of more hypotheses looks are first weighed as if no two faults came together: some 55 causes."""
LOOKED_AT_CLOSELY, TELL_MOST = 12, 4
"""So many of them that are worth most, and that tell most for their minutes, are then weighed with all pairs. Of 2880
positions in three trees another one was better in one, by a third of a minute: judgement."""
FEWEST_OF_NOTE = 0.005
"""A cause less likely than this both before and after an outcome is left out of the explanation."""


class Appraisal(NamedTuple):
    """What one check is worth now. All in minutes, except `bits`: expected information on the remedy, and `chance`.

    Where a check pays only together with others that a derived finding needs, the figures are those of them together;
    `taken` are all checks that they are about.
    """

    check: str
    minutes: float
    chance: float
    gain: float
    bits: float
    taken: tuple[str, ...] = ()

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
        looks: KeptLooks | None = None,
    ) -> None:
        """Args: repairs that `failed`, for which a cause's others stand in; `left`, those that cannot be done here;
        parts `found` in the van, which usually lacks them; the `looks` of this tree and unit profile, where others use
        them too.
        """
        self._knowledge, self._tree, self._role, self._unit = knowledge, model, role, unit
        self._looks = KeptLooks(knowledge, model, unit) if looks is None else looks
        self._appraised: MadeOnce[list[Appraisal]] = MadeOnce(MOST_KEPT)
        still = {c: [r for r in knowledge.causes[c].repairs if r not in failed] for c in model.causes}
        self._choice = {cause: repairs[0] for cause, repairs in still.items() if repairs}
        names = tuple(dict.fromkeys(r for repairs in still.values() for r in repairs))
        self.remedies: tuple[Remedy, ...] = tuple(
            remedy_for(knowledge.repairs[r], role, knowledge, r not in left, found) for r in names
        )
        self.decision: DecisionModel = self._decision_model(names)
        # Where the right remedy is only to be named, how surely it then works makes no difference.
        self.naming: DecisionModel = replace(self.decision, cures=np.ceil(self.decision.cures))
        self._first: Planner | None = None
        if model.singles is not None and len(model.hypotheses) > EACH_LOOKED_AT_UPTO:
            self._first = Planner(knowledge, model.singles, role, unit, failed, left, found, self._looks.of_singles)

    def _decision_model(self, names: tuple[str, ...]) -> DecisionModel:
        knowledge, causes = self._knowledge, self._tree.causes
        repairs = [knowledge.repairs[r] for r in names]
        cures = np.array([[r.cures.get(c, 0.0) for c in causes] for r in repairs]).reshape(len(repairs), len(causes))
        at_pool = np.array([m.decision == "repair_here" for m in self.remedies], dtype=bool)
        # Where the supply is off already, a repair that needs it off saves the switching.
        saved = [
            self._role.minutes["isolate"] * (r.plant == "isolated" and m.decision == "repair_here")
            for r, m in zip(repairs, self.remedies, strict=True)
        ]
        off = np.array([[0.0] * len(repairs), saved])
        count = len(repairs)
        choice = [names.index(self._choice[c]) if c in self._choice else count for c in causes]
        return DecisionModel(
            self._tree.first,
            self._tree.second,
            names,
            cures,
            np.array([m.right for m in self.remedies])[None, :] - off,
            np.array([m.wrong for m in self.remedies])[None, :] - off,
            np.zeros((len(PLANTS), count), dtype=np.intp),
            self._handing_on(repairs, np.array(choice, dtype=np.intp)),
            np.array(choice, dtype=np.intp),
            at_pool & np.array([r.result_shows == "at once" for r in repairs], dtype=bool),
            at_pool & np.array([r.swap_back is not None for r in repairs], dtype=bool),
        )

    def _handing_on(self, repairs: Sequence[Repair], choice: Indices) -> Array:
        """Minutes of handing on, by hypothesis."""
        minutes = np.array([*(r.minutes for r in repairs), 0.0])[choice]
        wired = np.array([*("electrician" in r.who for r in repairs), False], dtype=bool)[choice]
        first, second = self._tree.first, self._tree.second
        hands_on = np.where(first >= 0, minutes[first], 0.0) + np.where(second >= 0, minutes[second], 0.0)
        return fallbacks(hands_on, (first >= 0) & wired[first] | (second >= 0) & wired[second], self._role)

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
        key = (aim, blake2b(belief.tobytes(), digest_size=16).digest(), *_key(situation))
        return self._appraised.once(key, lambda: self._appraise(belief, situation, aim)).copy()

    def _appraise(self, belief: Array, situation: Situation, aim: Aim) -> list[Appraisal]:
        found = self._seen(belief, situation, aim) if self._first is None else self._seen_twice(belief, situation, aim)
        best: dict[str, Appraisal] = {}
        for seen in found:
            best.setdefault(seen.check, seen)
        return list(best.values())

    def _seen(self, belief: Array, now: Situation, aim: Aim, of: Sequence[Appraisal] | None = None) -> list[Appraisal]:
        """What can be looked at and what it is worth, best first; `of` these alone, where they are given."""
        names = None if of is None else {seen.taken[0] for seen in of if len(seen.taken) == 1}
        groups = None if of is None else {seen.taken: seen.check for seen in of if len(seen.taken) > 1}
        single, together = self._looks.single(now, names), self._looks.together(now, groups)
        looks = (*single, *(look for look, _ in together))
        opened = np.ones(len(self.remedies), dtype=bool)
        position = Position(belief, looks, opened, PLANTS.index(now.plant))
        found = lookahead.worths(self.naming if aim == "settle" else self.decision, position, _tries(aim))
        seen = [
            Appraisal(look.id, minutes, look.chance, gain, bits, (look.id,))
            for look, minutes, gain, bits in found[: len(single)]
        ]
        telling = {each.check: each.chance * each.bits / each.minutes for each in seen}
        for (look, minutes, gain, bits), (_, checks) in zip(found[len(single) :], together, strict=True):
            # Of several readings wanted together, the one that tells most for its minutes comes first.
            leading = max(checks, key=lambda c: (telling[c], c)) if groups is None else groups[checks]
            seen.append(Appraisal(leading, minutes, look.chance, gain, bits, checks))
        return sorted(seen, key=lambda each: (each.minutes - each.gain, each.check))

    def _seen_twice(self, belief: Array, now: Situation, aim: Aim) -> list[Appraisal]:
        """The same of a large tree: all as if no two faults came together, then the best of them as they are.

        What tells most for its minutes is among them, as it decides what asking on is reckoned with.
        """
        assert self._first is not None
        roughly = self._first._seen(self._tree.in_singles(belief), now, aim)
        telling = sorted(roughly, key=lambda each: -each.chance * each.bits / each.minutes)
        closely = {each.taken: each for each in (*roughly[:LOOKED_AT_CLOSELY], *telling[:TELL_MOST])}
        rest = [each for each in roughly if each.taken not in closely]
        return [*self._seen(belief, now, aim, [*closely.values()]), *rest]

    def gain_of_all(self, belief: Array, situation: Situation) -> float:
        """Expected minutes saved by what the open checks show together, before anything is done; what they cost is not
        taken off. Of many the most telling count, which is a little less than all.
        """
        if self._first is not None:
            return self._first.gain_of_all(self._tree.in_singles(belief), situation)
        looks = tuple(self._looks.single(situation))
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
        count = len(self.remedies)
        choice = np.append(self.decision.choice, count)
        one, two = choice[self._tree.first], choice[self._tree.second]
        chosen = np.bincount(one, belief, count + 1) + np.bincount(np.where(two == one, count, two), belief, count + 1)
        shares = dict(zip(self.decision.repairs, chosen.tolist(), strict=False))
        return [
            (remedy, shares[remedy.repair], tuple(c for c, r in self._choice.items() if r == remedy.repair))
            for remedy in sorted(self.remedies, key=lambda r: (-shares[r.repair] / r.wrong, r.repair))
        ]

    def outcomes(self, check: Check, situation: Situation) -> Array:
        """P(outcome | hypothesis) of asking a check now, shape (outcomes, hypotheses); columns sum to 1."""
        return self._looks.outcomes(check, situation)


def _key(now: Situation) -> Key:
    """All of a situation that decides what a check is worth."""
    return role_key(now.role), now.plant, tuple(now.open_checks), tuple(now.brought), frozenset(now.answers.items())


def _tries(aim: Aim) -> int:
    return 1 if aim == "settle" else MOST_TRIES

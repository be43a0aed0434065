"""Which check, repair or hand-on next: the one with the least expected cost, in minutes, to the end of the job."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from engine.belief import Array, TreeModel
from engine.costs import Remedy, chance_to_say, check_minutes, fallback_minutes, remedy_for
from engine.model import Check, Knowledge, Plant, Role, UnitProfile
from engine.readings import Reading, band_weights, derived

__all__ = ["Appraisal", "Planner", "Situation"]

Aim = Literal["mend", "settle"]
"""`mend`: repairs may be tried one after another. `settle`: one remedy is named once, and a wrong one costs."""

NEGLIGIBLE = 1e-7
NEAR_OUT, FAR_OUT = 0.25, 1.5
"""How far outside the outermost limits two readings stand for an open band, in widths of an inner one: judgement."""
SEARCH_SLACK = 1.6
"""Later checks tell less for their minutes than the best one now: the factor on its minutes a bit. Judgement."""


@dataclass(frozen=True)
class Situation:
    """Where the job stands: who asks, the plant state, what may still be asked, what was said and brought."""

    role: Role
    plant: Plant
    open_checks: Sequence[str]
    answers: Mapping[str, Reading]
    brought: Collection[str]


@dataclass(frozen=True)
class _Option:
    """A check, or the missing readings of a derived finding taken together, with what asking may show."""

    checks: tuple[str, ...]
    minutes: float
    chance: float
    outcomes: Array


@dataclass(frozen=True)
class Appraisal:
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


class Planner:
    """Appraises checks and remedies for one tree, role and unit profile; holds no state of the job."""

    def __init__(
        self, knowledge: Knowledge, model: TreeModel, role: Role, unit: UnitProfile, failed: Collection[str] = ()
    ) -> None:
        """Args: `failed`, repairs that were done and did not help; a cause's next repair stands in for them."""
        self._knowledge = knowledge
        self._model = model
        self._role = role
        self._unit = unit
        left = {c: [r for r in knowledge.causes[c].repairs if r not in failed] for c in model.causes}
        first = {cause: repairs[0] for cause, repairs in left.items() if repairs}
        self._causes = first
        self._repairs = tuple(dict.fromkeys(first.values()))
        self.remedies: tuple[Remedy, ...] = tuple(
            remedy_for(knowledge.repairs[r], role, knowledge) for r in self._repairs
        )
        self._right = np.array([r.right for r in self.remedies])
        self._wrong = np.array([r.wrong for r in self.remedies])
        needs = [[self._repairs.index(first[c]) for c in h if c in first] for h in model.hypotheses]
        beyond = len(self._repairs)
        self._first = np.array([(n or [beyond])[0] for n in needs], dtype=np.intp)
        self._second = np.array([(n or [beyond])[-1] for n in needs], dtype=np.intp)
        self._fallback = np.array(
            [fallback_minutes([knowledge.repairs[self._repairs[k]] for k in n], role) for n in needs]
        )
        self._clairvoyant = np.array([sum({k: self._right[k] for k in n}.values()) for n in needs])
        self._clairvoyant += np.where(self._first == beyond, self._fallback, 0.0)
        self._groups = np.zeros((len(model.hypotheses), beyond + 1))
        for k, remedies in enumerate(needs):
            for remedy in remedies or [beyond]:
                self._groups[k, remedy] = 1.0 / len(remedies or [beyond])

    def act_now(self, belief: Array, aim: Aim) -> tuple[Remedy | None, float]:
        """The remedy to set going without another check, and its expected minutes; None is handing on unknown.

        Args: belief over hypotheses, shape (hypotheses,).
        """
        cost, first = self._act(belief[None, :], aim)
        index = int(first[0])
        return (self.remedies[index] if index < len(self.remedies) else None), float(cost[0])

    def appraise(self, belief: Array, situation: Situation, aim: Aim) -> list[Appraisal]:
        """Every open check with what it is worth now, best first.

        Expected cost to go is the lesser of acting now and of asking on: the remedies' own cost plus the entropy that
        is left, at the price of a bit that the best check has now. One step of lookahead.

        Source: Heckerman, Breese and Rommelse 1995, eq. 7; entropy as cost-to-go after Pattipati and Alexandridis 1990.
        """
        options = [*self._single_options(situation), *self._finding_options(situation)]
        if not options:
            return []
        live = belief > NEGLIGIBLE
        kept = belief[live] / belief[live].sum()
        outcomes = [option.outcomes[:, live] for option in options]
        starts = np.cumsum([0] + [len(table) for table in outcomes])[:-1]
        joint = np.concatenate(outcomes) * kept
        chances = joint.sum(axis=1)
        after = joint / np.maximum(chances, 1e-300)[:, None]
        groups = self._groups[live]
        bits_now = _entropy_bits(kept[None, :] @ groups)[0]
        bits_after = np.add.reduceat(chances * _entropy_bits(after @ groups), starts)
        told = np.maximum(bits_now - bits_after, 0.0)
        minutes = np.array([option.minutes for option in options])
        says = np.array([option.chance for option in options])
        price = SEARCH_SLACK * float((minutes / np.maximum(says * told, 1e-9)).min())
        now = self._cost_to_go(kept[None, :], live, groups, price, aim)[0]
        later = np.add.reduceat(chances * self._cost_to_go(after, live, groups, price, aim), starts)
        gains = says * np.maximum(now - later, 0.0)
        # Of several readings wanted together, the one that tells most for its minutes comes first.
        telling = {
            o.checks[0]: float(p * b / m)
            for o, p, b, m in zip(options, says, told, minutes, strict=True)
            if len(o.checks) == 1
        }
        found = [
            Appraisal(max(o.checks, key=lambda c: (telling[c], c)), o.minutes, o.chance, float(g), float(b))
            for o, g, b in zip(options, gains, told, strict=True)
        ]
        best: dict[str, Appraisal] = {}
        for appraisal in sorted(found, key=lambda a: (-a.worth, a.check)):
            best.setdefault(appraisal.check, appraisal)
        return list(best.values())

    def _single_options(self, situation: Situation) -> list[_Option]:
        checks = [self._knowledge.checks[name] for name in situation.open_checks]
        return [
            _Option((c.id,), check_minutes(c, situation.role, situation.plant), chance, self._outcomes(c, situation))
            for c in checks
            if (chance := self._chance(c, situation)) > 0
        ]

    def _finding_options(self, situation: Situation) -> list[_Option]:
        """Derived findings that lack several readings, each too weak alone to be asked for: volume, rating, hours...

        Their chance is the mean of the readings' own, as those that stay unknown are integrated over.
        """
        options = []
        for finding in self._knowledge.findings.values():
            wanted = [i for i in finding.inputs if i in finding.replaces or i not in finding.assume]
            missing = [self._knowledge.checks[i] for i in wanted if i in situation.open_checks]
            missing = [c for c in missing if self._chance(c, situation) > 0]
            reachable = all(
                i in situation.answers or i in finding.assume or i in {c.id for c in missing} for i in wanted
            )
            if len(missing) < 2 or not reachable:
                continue
            table = self._model.tables[finding.id]
            partly = derived(finding, self._knowledge, self._unit, situation.answers)
            if partly is not None:
                table = np.maximum(np.asarray(partly.weights)[:, None] * table, 1e-12)
                table = table / table.sum(axis=0)
            minutes = sum(check_minutes(c, situation.role, situation.plant) for c in missing)
            chance = sum(self._chance(c, situation) for c in missing) / len(missing)
            options.append(_Option(tuple(c.id for c in missing), minutes, chance, table))
        return options

    def order(self, belief: Array) -> list[tuple[Remedy, float, tuple[str, ...]]]:
        """Remedies by chance over cost, each with the probability that the fault is or includes one it cures."""
        shares = {remedy.repair: 0.0 for remedy in self.remedies}
        for hypothesis, share in zip(self._model.hypotheses, belief, strict=True):
            for repair in {self._causes[c] for c in hypothesis if c in self._causes}:
                shares[repair] += float(share)
        return [
            (remedy, shares[remedy.repair], tuple(c for c, r in self._causes.items() if r == remedy.repair))
            for remedy in sorted(self.remedies, key=lambda r: (-shares[r.repair] / r.wrong, r.repair))
        ]

    def outcomes(self, check: Check, situation: Situation) -> Array:
        """P(outcome | hypothesis) of asking a check now, shape (outcomes, hypotheses); columns sum to 1."""
        return self._outcomes(check, situation)

    def _chance(self, check: Check, situation: Situation) -> float:
        return chance_to_say(check, situation.role, situation.brought)

    def _cost_to_go(self, beliefs: Array, live: np.ndarray, groups: Array, price: float, aim: Aim) -> Array:
        full = np.zeros((len(beliefs), len(live)))
        full[:, live] = beliefs
        acting, _ = self._act(full, aim)
        asking = beliefs @ self._clairvoyant[live] + price * _entropy_bits(beliefs @ groups)
        return np.asarray(np.minimum(acting, asking))

    def _act(self, beliefs: Array, aim: Aim) -> tuple[Array, np.ndarray]:
        """Expected minutes of acting without further checks, and the first remedy's index, for each row of beliefs.

        Remedies run in order of chance over cost, as many as pay, then the job is handed on. The p/c order is optimal
        for one fault and independent costs (Jensen and others 2001, Theorem 1); with pairs it is a good order.
        """
        count = len(self.remedies)
        shares = beliefs @ self._groups[:, :count]
        order = np.argsort(-shares / self._wrong, axis=1, kind="stable")
        tries = 1 if aim == "settle" else count
        place = np.full((len(beliefs), count + 1), count)
        np.put_along_axis(place, order, np.arange(count)[None, :], axis=1)
        last = np.maximum(place[:, self._first], place[:, self._second])
        rows = np.arange(len(beliefs))[:, None] * (count + 1)
        flat = (rows + last).ravel()
        size = len(beliefs) * (count + 1)
        solved = np.bincount(flat, beliefs.ravel(), size).reshape(len(beliefs), count + 1)
        owed = np.bincount(flat, (beliefs * self._fallback).ravel(), size).reshape(len(beliefs), count + 1)
        wrong_before = np.cumsum(self._wrong[order], axis=1) - self._wrong[order]
        right = self._right[order]
        spent = np.cumsum(solved[:, :count] * (wrong_before + right), axis=1)[:, :tries]
        left = 1.0 - np.cumsum(solved[:, :count], axis=1)[:, :tries]
        handed = owed.sum(axis=1, keepdims=True) - np.cumsum(owed[:, :count], axis=1)[:, :tries]
        stop_after = spent + left * (wrong_before + self._wrong[order])[:, :tries] + handed
        at_once = owed.sum(axis=1)
        best = stop_after.min(axis=1)
        return np.minimum(best, at_once), np.where(best <= at_once, order[:, 0], count)

    def _outcomes(self, check: Check, situation: Situation) -> Array:
        """The table of what asking may show. Where a number completes a derived finding, that finding speaks too."""
        table = self._model.tables[check.id]
        given = self._model.given.get(check.id)
        plain = table if given is None else table[list(given)]
        if not check.is_number:
            return plain
        trial = {c: r for c, r in situation.answers.items() if c != check.id}
        concerned = [f for f in self._knowledge.findings.values() if check.id in f.inputs]
        points = _points(check, self._unit)
        completed = [
            f
            for f in concerned
            if derived(f, self._knowledge, self._unit, {**trial, check.id: Reading(points[0])}) is not None
        ]
        if not completed:
            return plain
        spoken = not any(check.id in f.replaces for f in completed)
        order = [a.id for a in check.answers]
        error = check.error
        assert error is not None, check.id
        rows_out = []
        for value in points:
            weights = np.array(band_weights(check.bands, order, self._unit, value, error.of(value)))
            usual = np.array([check.usual[a] for a in order])
            row = weights @ table if spoken else np.full(table.shape[1], float(weights @ usual))
            for finding in completed:
                found = derived(finding, self._knowledge, self._unit, {**trial, check.id: Reading(value)})
                if found is not None:
                    row = row * (np.asarray(found.weights) @ self._model.tables[finding.id])
            rows_out.append(row)
        raw = np.maximum(np.array(rows_out), 1e-12)
        return np.asarray(raw / raw.sum(axis=0))


def _points(check: Check, unit: UnitProfile) -> list[float]:
    """Two readings to stand for each band: a quarter and three quarters through it; one near and far in an open one."""
    assert check.possible is not None, check.id
    low, high = check.possible
    edges = [b.under.value(unit) for b in check.bands if b.under is not None]
    width = max((edges[-1] - edges[0]) / max(len(edges) - 1, 1), 0.3 * max(abs(edges[-1]), abs(edges[0])))
    inner = [a + share * (b - a) for a, b in itertools.pairwise(edges) for share in (0.25, 0.75)]
    under = [max(low, edges[0] - share * width) for share in (FAR_OUT, NEAR_OUT)]
    over = [min(high, edges[-1] + share * width) for share in (NEAR_OUT, FAR_OUT)]
    return [*under, *inner, *over]


def _entropy_bits(shares: Array) -> Array:
    """Shannon entropy of each row, in bits."""
    safe = np.maximum(shares, 1e-300)
    return np.asarray(-(safe * np.log2(safe)).sum(axis=1))

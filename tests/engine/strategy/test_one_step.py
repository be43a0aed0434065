"""Quick sums against the same done slowly: hypothesis by hypothesis, one belief at a time, without arrays."""

from __future__ import annotations

import math
from dataclasses import replace
from unittest import mock

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.inference.belief import (
    Evidence,
    after_failed_repair,
    after_helping_repair,
    causes_marginal,
    decibans,
    posterior,
)
from engine.inference.compiling import combine_most_striking
from engine.knowledge.model import RoleId
from engine.strategy import lookahead
from engine.strategy.decision import DecisionModel, Look, after_failure
from engine.strategy.lookahead import SEARCH_SLACK, Position, worths
from engine.strategy.sequence import MOST_TRIES, act
from tests.benchmarks.policies import after_look, after_repair
from tests.benchmarks.shipped import Setting, setting
from tests.benchmarks.small_models import position_of, random_problem
from tests.example_counts import up_to
from tests.shipped import knowledge, models

KNOWLEDGE = knowledge()
ROLES: tuple[RoleId, ...] = ("counter", "phone", "field")
TREES = sorted(KNOWLEDGE.trees)


def entropy(shares: list[float]) -> float:
    return -sum(p * math.log2(p) for p in shares if p > 0)


def acting(model: DecisionModel, belief: list[float], position: Position, tries: int) -> float:
    """The cost of acting is checked by itself in test_strategy; here it is taken as it is, one belief at a time."""
    rows = np.array([belief])
    minutes, _ = act(model, rows, position.open_repairs[None, :], np.array([position.plant]), tries)
    return float(minutes[0])


class Plain:
    """Now, after the best repair, or never, with loops."""

    def __init__(self, model: DecisionModel, position: Position, tries: int) -> None:
        self.model, self.tries, self.plant = model, tries, position.plant
        self.belief = [float(p) for p in position.belief]
        self.remedies = model.by_remedy(np.eye(len(position.belief)))
        self.price = SEARCH_SLACK * min(
            look.minutes[self.plant] / max(look.chance * self.bits(look, self.belief), 1e-9) for look in position.looks
        )

    def remedy(self, belief: list[float]) -> list[float]:
        return [sum(b * float(row[r]) for b, row in zip(belief, self.remedies, strict=True)) for r in self.kinds]

    @property
    def kinds(self) -> range:
        return range(self.remedies.shape[1])

    def answers(self, look: Look, belief: list[float]) -> list[tuple[float, list[float]]]:
        found = []
        for row in look.outcomes:
            joint = [float(p) * b for p, b in zip(row, belief, strict=True)]
            if (mass := sum(joint)) > 0:
                found.append((mass, [j / mass for j in joint]))
        return found

    def bits(self, look: Look, belief: list[float]) -> float:
        after = sum(mass * entropy(self.remedy(then)) for mass, then in self.answers(look, belief))
        return max(entropy(self.remedy(belief)) - after, 0.0)

    def to_go(self, belief: list[float], position: Position) -> float:
        asking = sum(b * float(m) for b, m in zip(belief, self.model.knowing, strict=True))
        asking += self.price * entropy(self.remedy(belief))
        return min(acting(self.model, belief, position, self.tries), asking)

    def asked(self, look: Look, belief: list[float], position: Position) -> float:
        return sum(mass * self.to_go(then, position) for mass, then in self.answers(look, belief))

    def gain(self, look: Look, position: Position) -> float:
        never = self.to_go(self.belief, position)
        return look.chance * max(never - self.asked(look, self.belief, position), 0.0)

    def after(self, look: Look, position: Position, repair: int) -> float:
        left = after_failure(self.model, np.array([self.belief]), repair)[0]
        still = float(left.sum())
        right, wrong = self.model.right[self.plant, repair], self.model.wrong[self.plant, repair]
        opened = position.open_repairs.copy()
        opened[repair] = False
        plant = int(self.model.leaves[self.plant, repair])
        then = Position(position.belief, position.looks, opened, plant)
        belief = [float(p) / still for p in left]
        on = self.to_go(belief, then)
        looking = look.minutes[plant] + look.chance * min(self.asked(look, belief, then), on) + (1 - look.chance) * on
        return float((1 - still) * right + still * wrong) + still * looking


@st.composite
def positions(draw: st.DrawFn) -> tuple[Setting, Position]:
    where = setting(draw(st.sampled_from(["cold-water", "supply-fault"])), draw(st.sampled_from(ROLES)))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    belief = rng.dirichlet(np.full(len(where.prior), draw(st.sampled_from([0.1, 1.0]))))
    belief = (belief + 1e-4) / (belief + 1e-4).sum()
    kept = rng.choice(len(where.looks), size=9, replace=False)
    looks = tuple(where.looks[k] for k in sorted(kept))
    return where, Position(belief, looks, np.ones(len(where.model.repairs), dtype=bool))


def check_worths(model: DecisionModel, position: Position, tries: int) -> int:
    """Hold every quick worth against the plain one; how many looks were better put off until after the first repair."""
    plain, plant = Plain(model, position, tries), position.plant
    # Where one remedy is only to be named, one step is all that is looked ahead, however small the problem.
    with mock.patch.object(lookahead, "MOST_LEAVES", lookahead.MOST_LEAVES if tries == 1 else 0):
        found = worths(model, position, tries)
    _, first = act(model, position.belief[None, :], position.open_repairs[None, :], np.array([plant]), tries)
    repair = int(first[0])
    gains = [plain.gain(look, position) for look in position.looks]
    may_wait = tries > 1 and repair < len(model.repairs) and bool(model.goes_on[repair])
    may_wait = may_wait and any(g > look.minutes[plant] for g, look in zip(gains, position.looks, strict=True))
    never, waiting = plain.to_go(plain.belief, position), 0
    for worth, gain in zip(found, gains, strict=True):
        assert worth.bits == pytest.approx(plain.bits(worth.look, plain.belief), abs=1e-9)
        assert worth.minutes == worth.look.minutes[plant]
        if may_wait and (after := plain.after(worth.look, position, repair)) < never - gain + worth.minutes - 1e-9:
            waiting += 1
            assert worth.gain == pytest.approx(min(max(gain - (never - after), 0.0), worth.minutes), abs=1e-6)
        else:
            assert worth.gain == pytest.approx(gain, abs=1e-6)
    return waiting


@settings(deadline=None, max_examples=up_to(30))
@given(positions(), st.sampled_from([1, MOST_TRIES]))
def test_the_quick_worth_is_the_plain_one(case: tuple[Setting, Position], tries: int) -> None:
    where, position = case
    check_worths(where.planner.naming if tries == 1 else where.model, position, tries)


def test_what_is_put_off_is_the_plain_comparison() -> None:
    """On random small problems, where a likely cheap repair often comes first; looks not always answered."""
    rng = np.random.default_rng(8)
    waiting = 0
    for _ in range(40):
        model, position = position_of(random_problem(rng, 4, 2))
        looks = tuple(replace(look, chance=float(rng.choice([1.0, 0.6]))) for look in position.looks)
        waiting += check_worths(model, replace(position, looks=looks), MOST_TRIES)
        check_worths(model, replace(position, looks=looks), 1)
        check_worths(*two_states(rng, model, position), MOST_TRIES)
        check_worths(*two_states(rng, model, position), 2)
    assert waiting >= 5


def ahead(model: DecisionModel, position: Position, further: int) -> float:
    """Least minutes with so many steps before acting, the last of them a look: one belief, one outcome at a time."""
    mass = float(position.belief.sum())
    if mass <= 0.0:
        return 0.0
    best = mass * acting(model, [float(p) / mass for p in position.belief], position, MOST_TRIES)
    if further == 0:
        return best
    for k in range(len(position.looks)):
        best = min(best, looked(model, position, k, further - 1))
    if further > 1 and position.looks:
        for repair in map(int, np.flatnonzero(position.open_repairs)):
            then = after_repair(model, position, repair)
            still = float(then.belief.sum())
            right, wrong = model.right[position.plant, repair], model.wrong[position.plant, repair]
            best = min(best, float((mass - still) * right + still * wrong) + ahead(model, then, further - 1))
    return best


def looked(model: DecisionModel, position: Position, k: int, further: int) -> float:
    look, mass = position.looks[k], float(position.belief.sum())
    said = sum(ahead(model, after_look(position, k, a), further) for a in range(len(look.outcomes)))
    unsaid = ahead(model, after_look(position, k, None), further)
    return mass * look.minutes[position.plant] + look.chance * said + (1.0 - look.chance) * unsaid


def two_states(rng: np.random.Generator, model: DecisionModel, position: Position) -> tuple[DecisionModel, Position]:
    """The same with a second plant state with costs of its own, to which some looks and repairs lead."""
    repairs = len(model.repairs)
    dearer, swap = rng.uniform(0.5, 2.0, (2, repairs)), rng.uniform(0.0, 9.0, (2, repairs))
    looks = tuple(
        replace(
            look,
            minutes=(look.minutes[0], float(rng.uniform(0.5, 3.0))),
            leaves=(int(rng.integers(2)), int(rng.integers(2))),
            chance=float(rng.choice([1.0, 0.7])),
        )
        for look in position.looks
    )
    right = model.right * dearer
    turned = replace(model, right=right, wrong=right + swap, leaves=rng.integers(0, 2, (2, repairs)))
    return turned, replace(position, looks=looks, plant=int(rng.integers(2)))


@settings(deadline=None, max_examples=up_to(40))
@given(st.integers(0, 2**32 - 1), st.integers(2, 3), st.integers(1, 2), st.sampled_from([1, 2]))
def test_two_and_three_steps_are_the_plain_recursion(seed: int, causes: int, checks: int, further: int) -> None:
    rng = np.random.default_rng(seed)
    model, position = two_states(rng, *position_of(random_problem(rng, causes, checks)))
    never = min(
        [float(position.belief @ model.hand_on)]
        + [
            float((1.0 - still) * model.right[position.plant, r] + still * model.wrong[position.plant, r])
            + ahead(model, then, further)
            for r in range(len(model.repairs))
            for then in [after_repair(model, position, r)]
            for still in [float(then.belief.sum())]
        ]
    )
    # So few ends that just so many steps are looked ahead.
    branches = sum(len(look.outcomes) for look in position.looks) + len(model.repairs)
    with mock.patch.object(lookahead, "MOST_LEAVES", branches ** (further + 1) * causes):
        assert lookahead.depth(position) == further + 1
        found = worths(model, position)
    for k, worth in enumerate(found):
        now = looked(model, position, k, further)
        assert worth.minutes == worth.look.minutes[position.plant]
        assert worth.gain == pytest.approx(max(never - now + worth.minutes, 0.0), abs=1e-9)


def test_how_far_is_looked_ahead() -> None:
    """By hand: a yes-or-no look and three repairs are 5 branches; 5 x 5 x 320 are 8000 ends, 5 x 5 x 5 x 64 as many."""

    def far(hypotheses: int) -> int:
        look = Look("look", (1.0,), np.full((2, hypotheses), 0.5))
        return lookahead.depth(Position(np.full(hypotheses, 1 / hypotheses), (look,), np.ones(3, dtype=bool)))

    assert [far(n) for n in (64, 65, 320, 321)] == [3, 2, 2, 1]


def test_a_look_settles_where_one_answer_leaves_one_remedy() -> None:
    """By hand: yes leaves .48 to .02, which is .96 for the first remedy; no is as sure; .9 to .1 settles nothing."""
    model, _ = position_of(random_problem(np.random.default_rng(1), 2, 1))
    assert lookahead.settles(model, np.array([[0.48, 0.02], [0.02, 0.48]]))
    assert not lookahead.settles(model, np.array([[0.45, 0.05], [0.05, 0.45]]))
    assert lookahead.settles(model, np.array([[0.45, 0.05], [0.0, 0.5], [0.0, 0.0]]))
    assert lookahead.settles(model, np.array([[0.096, 0.004], [0.4, 0.5]]))
    assert lookahead.settles(model, np.array([[0.475, 0.025], [0.025, 0.475]])), ".95 is enough"


@settings(deadline=None, max_examples=up_to(60))
@given(st.integers(0, 2**32 - 1), st.integers(2, 5))
def test_the_most_striking_of_two_is_their_maximum(seed: int, size: int) -> None:
    """Noisy-MAX by enumeration of both answers (Diez 1993, from memory)."""
    rng = np.random.default_rng(seed)
    first, second = rng.dirichlet(np.ones(size)), rng.dirichlet(np.ones(size))
    slow = [0.0] * size
    for a in range(size):
        for b in range(size):
            slow[max(a, b)] += float(first[a] * second[b])
    assert combine_most_striking(first[:, None], second[:, None])[:, 0] == pytest.approx(slow)


@st.composite
def found_sets(draw: st.DrawFn) -> tuple[str, list[Evidence]]:
    tree = draw(st.sampled_from(TREES))
    tables = models().tree(tree).tables
    names = draw(st.lists(st.sampled_from(sorted(tables)), min_size=2, max_size=5, unique=True))
    rows = [draw(st.integers(0, len(tables[name]) - 1)) for name in names]
    return tree, [
        Evidence(name, tuple(float(k == row) for k in range(len(tables[name]))), (name,))
        for name, row in zip(names, rows, strict=True)
    ]


@settings(deadline=None, max_examples=up_to(60))
@given(found_sets())
def test_decibans_are_the_odds_with_and_without_the_answer(case: tuple[str, list[Evidence]]) -> None:
    """Good 1950: 10 log10 of the change of the odds, here from two posteriors."""
    tree, found = case
    model = models().tree(tree)

    def odds(items: list[Evidence], cause: str) -> float:
        chance = causes_marginal(model, posterior(model, items))[cause]
        return chance / (1.0 - chance)

    for cause in model.causes[:4]:
        if not 1e-9 < causes_marginal(model, posterior(model, found))[cause] < 1 - 1e-9:
            continue
        weights = decibans(model, found, cause)
        for item in found:
            without = [other for other in found if other is not item]
            slow = 10.0 * math.log10(odds(found, cause) / odds(without, cause))
            assert weights[item.id] == pytest.approx(slow, abs=1e-4)


@settings(deadline=None, max_examples=up_to(40))
@given(st.sampled_from(TREES), st.integers(0, 2**32 - 1), st.data())
def test_failed_repairs_tell_the_same_in_any_order(tree: str, seed: int, data: st.DataObject) -> None:
    model = models().tree(tree)
    belief = np.random.default_rng(seed).dirichlet(np.ones(len(model.hypotheses)))
    one, two = (data.draw(st.sampled_from(sorted(KNOWLEDGE.repairs))) for _ in range(2))
    cures = [KNOWLEDGE.repairs[name].cures for name in (one, two)]
    there = after_failed_repair(model, after_failed_repair(model, belief, cures[0]), cures[1])
    back = after_failed_repair(model, after_failed_repair(model, belief, cures[1]), cures[0])
    assert np.abs(there - back).max() < 1e-12
    assert there.sum() == pytest.approx(1.0)
    assert np.abs(after_failed_repair(model, belief, {}) - belief).max() < 1e-15


@settings(deadline=None, max_examples=up_to(40))
@given(st.sampled_from(TREES), st.integers(0, 2**32 - 1), st.sampled_from(sorted(KNOWLEDGE.repairs)))
def test_what_helped_and_what_did_not_add_up_to_what_was_believed(tree: str, seed: int, repair: str) -> None:
    """The law of total probability: P(h) = P(helps) P(h | helps) + P(does not) P(h | does not), the repair undone."""
    model, cures = models().tree(tree), KNOWLEDGE.repairs[repair].cures
    belief = np.random.default_rng(seed).dirichlet(np.ones(len(model.hypotheses)))
    cured = [math.prod(cures.get(cause, 0.0) for cause in h) if h else 0.0 for h in model.hypotheses]
    helps = float(np.dot(belief, cured))
    helped, failed = after_helping_repair(model, belief, cures), after_failed_repair(model, belief, cures, undone=True)
    assert np.abs(helps * helped + (1.0 - helps) * failed - belief).max() < 1e-12
    assert helped.sum() == pytest.approx(1.0)
    assert np.abs(after_helping_repair(model, belief, {}) - belief).max() < 1e-15


def test_a_pair_of_which_one_cause_is_cured_for_good_becomes_the_other() -> None:
    model = models().tree("low-salt")
    place = {h: k for k, h in enumerate(model.hypotheses)}
    pair = np.zeros(len(place))
    pair[place[("salt_low", "cell_scaled")]] = 1.0
    assert after_failed_repair(model, pair, {"salt_low": 1.0})[place[("cell_scaled",)]] == pytest.approx(1.0)

"""What makes large trees quick changes nothing, or no more than is said: against the same with nothing left out."""

from __future__ import annotations

import itertools
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import cache
from pathlib import Path
from unittest import mock

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.evaluation.calls import WorkedCall
from engine.evaluation.simulate import opening_of
from engine.inference import compiling
from engine.inference.belief import TreeModel
from engine.knowledge.loader import load_knowledge
from engine.knowledge.model import DANGER_CHECK, ROLES, RoleId, frozen
from engine.proving.drawn import Drawing, answering
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.session import Session
from engine.strategy import decision, lookahead, planner
from engine.strategy.decision import Sums
from engine.strategy.kept_looks import MadeOnce
from engine.strategy.lookahead import counting
from tests.benchmarks.exact import optimum
from tests.benchmarks.grown import grow
from tests.benchmarks.small_models import random_problem
from tests.example_counts import up_to
from tests.shipped import knowledge, models

SEEDS = st.integers(0, 2**32 - 1)


@settings(deadline=None, max_examples=up_to(40))
@given(SEEDS, st.sampled_from([0.01, 0.05, 0.2]))
def test_the_optimum_without_the_least_likely_is_as_near_as_is_said(seed: int, left_out: float) -> None:
    """The bound in the docstring of `counting`, against an exact dynamic programme; D is all costs that there are."""
    rng = np.random.default_rng(seed)
    problem = random_problem(rng, 4, 2)
    prior = rng.dirichlet([2.0, 1.0, 0.1, 0.1])
    with mock.patch.object(lookahead, "LEFT_OUT", left_out):
        kept = counting(prior)
    mass = float(prior[~kept].sum())
    assert mass <= left_out
    dearest = float(problem.repair_cost.sum() + problem.look_cost.sum() + problem.hand_on)
    whole = optimum(replace(problem, prior=prior))
    part = optimum(replace(problem, prior=np.where(kept, prior, 0.0) / (1.0 - mass)))
    assert abs(whole - part) <= mass * dearest + 1e-9


@given(SEEDS)
def test_the_likeliest_hypotheses_count_and_none_that_is_left_out_is_likelier(seed: int) -> None:
    prior = np.random.default_rng(seed).dirichlet(np.full(300, 0.05))
    kept = counting(prior)
    assert prior[~kept].sum() <= lookahead.LEFT_OUT
    assert kept[prior.argmax()]
    assert prior[kept].min() >= prior[~kept].max(initial=0.0)


@given(SEEDS)
def test_sums_are_the_same_by_a_table_and_part_by_part(seed: int) -> None:
    rng = np.random.default_rng(seed)
    columns, count = int(rng.integers(1, 30)), int(rng.integers(1, 9))
    into = [rng.integers(-1, count, columns) for _ in range(2)]
    rows, weight = rng.normal(size=(7, columns)), rng.random(columns)
    by_hand = np.zeros((7, count))
    for sums in into:
        for k, place in enumerate(sums):
            if place >= 0:
                by_hand[:, place] += rows[:, k] * weight[k]
    assert Sums(columns, into, weight, count).of(rows) == pytest.approx(by_hand)
    with mock.patch.object(decision, "FULL_UPTO", 0), mock.patch.object(decision, "AT_ONCE", 2 * columns):
        assert Sums(columns, into, weight, count).of(rows) == pytest.approx(by_hand)


def test_few_tables_are_kept_and_all_are_the_same_when_they_are_made_again() -> None:
    known = knowledge()
    whole = models().tree("no-output").tables
    with mock.patch.object(compiling, "MOST_NUMBERS_KEPT", 6_000):
        few = compiling.compile_tree(known, known.trees["no-output"]).tables
        for name in [*whole, *reversed([*whole])]:
            np.testing.assert_array_equal(few[name], whole[name])
        assert isinstance(few, compiling.LazyTables)
        assert sum(table.size for table in few._kept.values()) <= 6_000
    with pytest.raises(KeyError):
        few["no_such_check"]


def test_several_threads_may_ask_for_tables_of_which_few_are_kept() -> None:
    known = knowledge()
    whole = models().tree("low-salt").tables
    with mock.patch.object(compiling, "MOST_NUMBERS_KEPT", 6_000), ThreadPoolExecutor(4) as pool:
        few = compiling.compile_tree(known, known.trees["low-salt"]).tables
        orders = [np.random.default_rng(seed).permutation([*whole]) for seed in range(8)]
        seen = pool.map(lambda names: [(str(name), few[str(name)]) for name in names], orders)
        for name, table in itertools.chain.from_iterable(seen):
            np.testing.assert_array_equal(table, whole[name])


def test_what_is_kept_is_made_once_and_no_more_than_so_much_is_kept() -> None:
    kept: MadeOnce[int] = MadeOnce(2)
    made: list[int] = []

    def make(number: int) -> int:
        def made_now() -> int:
            made.append(number)
            return number

        return kept.once((number,), made_now)

    assert [make(k) for k in (1, 2, 1, 2)] == [1, 2, 1, 2]
    assert made == [1, 2]
    make(3)
    assert len(kept._found) <= 2


def test_pairs_count_by_halves_where_they_are_left_out() -> None:
    """By hand: a alone .5, a with b .3, none of them .2."""
    model = TreeModel("small", (("a",), ("b",), ("a", "b"), ()), np.full(4, 0.25), {}, {})
    assert model.in_singles(np.array([0.5, 0.0, 0.3, 0.2])).tolist() == pytest.approx([0.65, 0.15, 0.2])


@cache
def large() -> Models:
    """The shipped knowledge, whose trees are taken as large ones."""
    made = Models(knowledge())
    with mock.patch.object(planner, "EACH_LOOKED_AT_UPTO", 10):
        for tree in ("no-output", "low-salt", "flow-fault"):
            for role in made.knowledge.roles.values():
                made.planner(tree, role, made.knowledge.units["default"], ())
    return made


@settings(deadline=None, max_examples=up_to(8))
@given(SEEDS, st.sampled_from(["no-output", "low-salt", "flow-fault"]), st.sampled_from(ROLES))
def test_what_is_weighed_twice_comes_out_as_when_all_is_weighed(seed: int, tree: str, role: RoleId) -> None:
    """The check that is asked is worth as much as the best of all, within half a minute, and is weighed alike."""
    twice, rng = large(), np.random.default_rng(seed)
    model = models().tree(tree)
    answer = answering(models(), Drawing(tree), rng, int(rng.choice(len(model.prior), p=model.prior)))
    session = Session(models())
    for event in opening_of(models(), WorkedCall("drawn", role, tree, "default", (), frozen({}), (), ())):
        session.record(event)
    for _ in range(5):
        whole = {each.check: each for each in session.appraise()}
        first = next(iter(whole.values()))
        seen = Session(twice, session.events).appraise()
        assert {each.check for each in seen} == set(whole)
        assert max(whole[seen[0].check].worth, 0.0) == pytest.approx(max(first.worth, 0.0), abs=0.5)
        assert seen[0].worth == pytest.approx(whole[seen[0].check].worth, abs=0.5)
        said = None if first.check == DANGER_CHECK else answer(session, first.check)
        event = Event("dont_know", "", about=first.check)
        session.record(event if said is None else Event("answered", "", about=first.check, value=said))


def test_a_grown_tree_is_sound_and_is_asked_by_what_is_best_of_all(tmp_path: Path) -> None:
    """Three times its causes: the folder has no mistake (the loader would tell), and all checks weighed agree."""
    known = load_knowledge(grow(tmp_path / "grown", 3))
    assert sum(known.trees["no-output"].singles.values()) == pytest.approx(1.0)
    large, whole = Models(known), Models(known)
    model = large.tree("no-output")
    assert len(model.hypotheses) > planner.EACH_LOOKED_AT_UPTO
    for role in ROLES:
        session = Session(large)
        for event in opening_of(large, WorkedCall("", role, "no-output", "default", (), frozen({}), (), ())):
            session.record(event)
        for about, value in (("water_look", "green"), ("tested_salt", 3300.0)):
            session.record(Event("answered", "", about=about, value=value))
        with mock.patch.object(planner, "EACH_LOOKED_AT_UPTO", 10**9):
            every = {each.check: each for each in Session(whole, session.events).appraise()}
        best = max(every.values(), key=lambda each: each.worth)
        seen = session.appraise()
        assert {each.check for each in seen} == set(every)
        assert every[seen[0].check].worth == pytest.approx(best.worth, abs=0.5)
        assert seen[0].worth == pytest.approx(every[seen[0].check].worth, abs=0.5)

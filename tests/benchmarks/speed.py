"""M7 and M8: difference from pyAgrum, and time of a posterior and of a next step, at shipped size and beyond."""

from __future__ import annotations

import importlib
import importlib.util
import statistics
import time
from collections.abc import Callable
from functools import partial

import numpy as np
import pyagrum as gum

from engine.inference.belief import Array, Evidence, TreeModel, posterior
from engine.strategy.decision import Look, decision_model
from engine.strategy.lookahead import Position, next_step
from tests.benchmarks.oracle import agrum_posterior, network, random_evidence
from tests.benchmarks.shipped import KNOWLEDGE, setting
from tests.shipped import models

PAIR_SHARE = 0.05
"""Share of pairs in the made-up models of `posterior_ms` and `growth`."""


def largest_difference(cases: int, seed: int = 70) -> float:
    """Largest absolute difference from pyAgrum's posterior over random evidence sets of all kinds."""
    rng = np.random.default_rng(seed)
    worst = 0.0
    trees = sorted(KNOWLEDGE.trees)
    for case in range(cases):
        tree = trees[case % len(trees)]
        found = random_evidence(rng)
        try:
            theirs = agrum_posterior(network(tree), found)
        except gum.IncompatibleEvidence:
            # Answers that no hypothesis can show together have no posterior.
            continue
        worst = max(worst, float(np.abs(posterior(models().tree(tree), found) - theirs).max()))
    return worst


def posterior_ms(repeats: int) -> dict[str, float]:
    """Median milliseconds of a posterior by engine: 30 causes and their 435 pairs, 40 yes-or-no checks, 8 answers."""
    rng = np.random.default_rng(80)
    model = made_up(30, 40, rng)
    sets = [{f"c{k}": int(rng.integers(2)) for k in rng.choice(40, size=8, replace=False)} for _ in range(repeats)]
    found = [[Evidence(c, (1.0 - a, float(a)), (c,)) for c, a in one.items()] for one in sets]
    net = gum.BayesNet()
    net.add(gum.LabelizedVariable("h", "", len(model.prior)))
    net.cpt("h").fillWith(model.prior.tolist())
    for name, table in model.tables.items():
        net.add(gum.LabelizedVariable(name, "", 2))
        net.addArc("h", name)
        for k in range(len(model.prior)):
            net.cpt(name)[{"h": k}] = table[:, k].tolist()

    def agrum(one: dict[str, int]) -> Array:
        engine = gum.VariableElimination(net)
        engine.setEvidence(one)
        return np.array(engine.posterior("h").tolist())

    assert np.abs(posterior(model, found[0]) - agrum(sets[0])).max() < 1e-12
    times = {
        "ours": statistics.median(_timed(partial(posterior, model, e)) for e in found),
        "pyAgrum": statistics.median(_timed(partial(agrum, s)) for s in sets),
    }
    if importlib.util.find_spec("pgmpy") is not None:
        times["pgmpy"] = statistics.median(_pgmpy_times(model, sets))
    return times


def next_step_ms(repeats: int) -> tuple[float, float]:
    """Median and 95th percentile of the milliseconds of a next step, over every shipped tree in every role."""
    times = []
    for tree in KNOWLEDGE.trees:
        for role in KNOWLEDGE.roles:
            where = setting(tree, role)
            times += [_timed(partial(next_step, where.model, where.start())) for _ in range(repeats)]
    return statistics.median(times), float(np.quantile(times, 0.95))


def growth(sizes: tuple[int, ...], repeats: int = 3) -> list[tuple[int, int, float, float]]:
    """(causes and checks, hypotheses, posterior ms, next step ms) of made-up models; pairs up to 40 causes only."""
    rows = []
    for size in sizes:
        model = made_up(size, size, np.random.default_rng(size), pairs=size <= 40)
        found = [Evidence(f"c{k}", (0.0, 1.0), ()) for k in range(8)]
        places = {name: k for k, name in enumerate(model.causes)}
        count = len(model.prior)
        decision = decision_model(
            [tuple(places[c] for c in h) for h in model.hypotheses],
            0.9 * np.eye(size),
            np.full(size, 20.0),
            np.full(size, 40.0),
            np.full(count, 240.0),
        )
        looks = tuple(Look(name, (3.0,), table) for name, table in model.tables.items())
        position = Position(model.prior, looks, np.ones(size, dtype=bool))
        belief = statistics.median(_timed(partial(posterior, model, found)) for _ in range(20))
        step = statistics.median(_timed(partial(next_step, decision, position)) for _ in range(repeats))
        rows.append((size, count, belief, step))
    return rows


def made_up(causes: int, checks: int, rng: np.random.Generator, pairs: bool = True) -> TreeModel:
    """Random noisy-OR tables with leak over single causes, and pairs of them."""
    names = [f"d{k}" for k in range(causes)]
    hypotheses: list[tuple[str, ...]] = [(n,) for n in names]
    single = rng.dirichlet(np.ones(causes))
    prior = single
    shows = np.where(rng.random((checks, causes)) < 0.2, rng.uniform(0.5, 0.98, (checks, causes)), 0.0)
    inhibited = 1.0 - shows
    columns = inhibited
    if pairs:
        first, second = np.triu_indices(causes, 1)
        hypotheses += [(names[a], names[b]) for a, b in zip(first, second, strict=True)]
        both = single[first] * single[second]
        prior = np.concatenate([single * (1.0 - PAIR_SHARE), PAIR_SHARE * both / both.sum()])
        columns = np.concatenate([inhibited, inhibited[:, first] * inhibited[:, second]], axis=1)
    absent = (1.0 - rng.uniform(0.01, 0.1, checks))[:, None] * columns
    tables = {f"c{k}": np.stack([absent[k], 1.0 - absent[k]]) for k in range(checks)}
    return TreeModel("made up", tuple(hypotheses), prior, tables, {})


def _timed(work: Callable[[], object]) -> float:
    begun = time.perf_counter()
    work()
    return 1000.0 * (time.perf_counter() - begun)


def _pgmpy_times(model: TreeModel, sets: list[dict[str, int]]) -> list[float]:
    """pgmpy's variable elimination on the same network, where pgmpy is installed."""
    factors = importlib.import_module("pgmpy.factors.discrete")
    networks = importlib.import_module("pgmpy.models")
    inference = importlib.import_module("pgmpy.inference")
    net = networks.DiscreteBayesianNetwork([("h", name) for name in model.tables])
    net.add_cpds(factors.TabularCPD("h", len(model.prior), model.prior[:, None].tolist()))
    for name, table in model.tables.items():
        net.add_cpds(factors.TabularCPD(name, 2, table.tolist(), ["h"], [len(model.prior)]))
    engine = inference.VariableElimination(net)
    return [_timed(partial(engine.query, ["h"], evidence=s, show_progress=False)) for s in sets]

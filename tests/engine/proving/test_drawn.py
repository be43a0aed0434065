"""Drawn pools: on a small tree their confusions are those of an exact walk through every answer."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.stats import chisquare

from engine.evaluation.calls import WorkedCall
from engine.evaluation.simulate import run_answered
from engine.knowledge.model import frozen
from engine.proving.drawn import Drawing, drawn_pool, simulated
from engine.session.models import Models
from engine.session.session import Session
from engine.strategy import Situation
from engine.strategy.costs import chance_to_say
from engine.strategy.options import points
from tests.shipped import knowledge, models

TREE = "cell-leak"
KEPT = ("union_oring_worn", "drip_from_elsewhere", "union_nut_cracked", "something_else")
POOLS = 400


@cache
def small() -> Models:
    """The tree with three causes, none together, and two questions at most."""
    known = knowledge()
    tree = known.trees[TREE]
    singles = {cause: share for cause, share in tree.singles.items() if cause in KEPT}
    total = sum(singles.values())
    cut = replace(tree, singles=frozen({c: s / total for c, s in singles.items()}), pairs=frozen({}), any_pair=0.0)
    roles = frozen({name: replace(role, limit=2) for name, role in known.roles.items()})
    return Models(replace(known, trees=frozen({TREE: cut}), roles=roles))


class AskedError(Exception):
    """A question whose answers are to be walked through."""


def exact() -> dict[tuple[tuple[str, ...], tuple[str, ...]], float]:
    """P(was, taken for), by walking through every answer that may come; each path is begun anew with its answers.

    The table of what may be said is read from the strategy; who says how often, and each chance, is reckoned here.
    """
    model, found = small().tree(TREE), defaultdict[tuple[tuple[str, ...], tuple[str, ...]], float](float)

    def walk(said: dict[str, object], weight: np.ndarray) -> None:
        asked: list[tuple[str, Session]] = []

        def answer(session: Session, name: str) -> str | float | None:
            if name in said:
                return said[name]  # type: ignore[return-value]
            asked.append((name, session))
            raise AskedError

        call = WorkedCall("x", "field", TREE, "default", (), frozen({}), (), None)
        try:
            run = run_answered(small(), call, answer)
        except AskedError:
            name, session = asked[0]
            check = session.knowledge.checks[name]
            chance = chance_to_say(check, session.role, ())
            table = session.planner.outcomes(check, Situation(session.role, "running", (), session.job.readings, ()))
            ids = [answer.id for answer in check.answers]
            given = model.given.get(name)
            values = [ids[k] for k in given] if given else ids
            readings: list[object] = [*points(check, session.unit)] if check.is_number else [*values]
            if check.is_number and len(readings) != len(table):
                bands = [band.id for band in check.bands for _ in range(2)]
                readings = [readings[bands.index(value)] for value in values]
            walk({**said, name: None}, weight * (1 - chance))
            for row, value in zip(table, readings, strict=True):
                walk({**said, name: value}, weight * chance * row)
            return
        for hypothesis, share in zip(model.hypotheses, weight, strict=True):
            found[hypothesis, run.session.hypotheses()[0][0]] += float(share)

    walk({}, model.prior)
    return found


@pytest.mark.no_cover
def test_confusions_are_those_of_an_exact_walk_through_every_answer() -> None:
    should = exact()
    assert sum(should.values()) == pytest.approx(1.0)
    drawing = Drawing(TREE, "field", seed=3)
    pools = [drawn_pool(small(), drawing, number) for number in range(POOLS)]
    came = Counter((pool.was, pool.taken_for) for pool in pools)
    assert set(came) <= {key for key, share in should.items() if share > 0}
    often = [key for key, share in should.items() if share * POOLS >= 5]
    counts = [came[key] for key in often] + [POOLS - sum(came[key] for key in often)]
    wanted = [should[key] * POOLS for key in often]
    wanted.append(POOLS - sum(wanted))
    assert len(often) >= 3
    assert chisquare(counts, wanted).pvalue > 0.001


def test_a_pool_is_the_same_whatever_else_is_drawn_and_another_seed_draws_others() -> None:
    drawing = Drawing("low-salt", seed=5)
    assert drawn_pool(models(), drawing, 7) == drawn_pool(models(), drawing, 7)
    assert [drawn_pool(models(), drawing, n).was for n in range(6)] != [
        drawn_pool(models(), replace(drawing, seed=6), n).was for n in range(6)
    ]


@pytest.mark.no_cover
def test_what_is_claimed_of_pools_of_the_folder_itself_comes_true() -> None:
    """The model is calibrated to itself: so many are right as are claimed, within four standard errors."""
    found = simulated([drawn_pool(small(), Drawing(TREE, seed=2), number) for number in range(POOLS)])
    error = (found.believed * (1 - found.believed) / POOLS) ** 0.5
    assert abs(found.right - found.believed) < 4 * error
    assert sum(one.drawn for one in found.by_fault) == POOLS
    assert sum(count for _, count in found.decisions) == POOLS


@pytest.mark.no_cover
def test_whoever_misreads_everything_is_wrong_oftener() -> None:
    read, misread = (
        simulated([drawn_pool(small(), Drawing(TREE, "field", misread=rate, seed=4), n) for n in range(150)])
        for rate in (0.0, 1.0)
    )
    assert misread.right < read.right

"""What halving or doubling does, held against a plain recomputation of every pool with the whole folder."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from engine.inference.belief import posterior
from engine.proving.numbers import with_number
from engine.proving.sensitive import Sensitive, answered_pools, sensitive
from engine.session.models import Models
from tests.shipped import knowledge, models

TREE = "cell-leak"


@cache
def pools() -> tuple[object, ...]:
    return tuple(answered_pools(models(), TREE, 40, 3, "field"))


@cache
def found() -> tuple[Sensitive, ...]:
    return sensitive(models(), TREE, pools(), lambda _done, _of: None)  # type: ignore[arg-type]


def cost(made: Models, remedy: int, place: int) -> float:
    """Minutes of one remedy with one hypothesis, one by one."""
    decision = made.planner(TREE, made.knowledge.roles["field"], made.knowledge.units["default"], ()).decision
    if remedy == len(decision.repairs):
        return float(decision.hand_on[place])
    causes = [k for k in (decision.first[place], decision.second[place]) if k >= 0]
    cured = np.prod([decision.cures[remedy, k] for k in causes]) if causes else 0.0
    return float(
        cured * decision.right[0, remedy] + (1 - cured) * (decision.wrong[0, remedy] + decision.hand_on[place])
    )


def choice(made: Models, belief: np.ndarray) -> int:
    remedies = range(
        len(made.planner(TREE, made.knowledge.roles["field"], made.knowledge.units["default"], ()).remedies) + 1
    )
    return min(remedies, key=lambda r: sum(p * cost(made, r, k) for k, p in enumerate(belief) if p > 1e-9))


@pytest.mark.no_cover
def test_minutes_lost_are_those_of_a_plain_recomputation() -> None:
    assert len(found()) > 10
    for one in (found()[0], found()[len(found()) // 2]):
        value = one.value / 2 if one.halving else one.value * 2
        bounded = (
            value if one.halving or one.number.path[0] in ("likelier", "minutes") else min(value, max(0.98, one.value))
        )
        made = Models(with_number(knowledge(), one.number, bounded))
        lost, moved = 0.0, 0
        for pool in pools():
            evidence, belief = pool.found, pool.belief  # type: ignore[attr-defined]
            then = posterior(made.tree(TREE), evidence)
            moved += int(np.argmax(then) != np.argmax(belief))
            chosen, right = choice(made, then), choice(models(), belief)
            paid = [sum(p * cost(models(), r, k) for k, p in enumerate(belief) if p > 1e-9) for r in (chosen, right)]
            lost += (paid[0] - paid[1]) / len(pools())
        assert lost == pytest.approx(one.lost, abs=1e-3)
        assert moved == one.moved


def test_a_wrong_number_never_saves_minutes_and_the_worst_comes_first() -> None:
    """What is decided by the right numbers costs least where they are right."""
    lost = [one.lost for one in found()]
    assert lost == sorted(lost, reverse=True)
    assert min(lost) >= -1e-9

"""How firm a decision is, against every way in which two looks may come out, and where the belief does not decide."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from engine.session.firmness import all_answered, firmness
from engine.session.journal import Event
from engine.session.session import Session
from engine.strategy.decision import Look
from tests.shipped import models

AT = "2026-01-02T03:04:05Z"
BELIEF = np.array([0.5, 0.3, 0.2])
LOOKS = [
    Look("a", (1.0, 1.0), np.array([[0.9, 0.2, 0.5], [0.1, 0.8, 0.5]])),
    Look("b", (1.0, 1.0), np.array([[0.7, 0.7, 0.1], [0.2, 0.2, 0.2], [0.1, 0.1, 0.7]]), chance=0.6),
]


def test_what_all_looks_together_may_show_is_drawn_as_often_as_it_comes() -> None:
    """Every pair of answers (or none of the second look) by hand; each leaves one belief, as often as it is likely."""
    wanted: dict[tuple[float, ...], float] = {}
    for first, second in itertools.product((0, 1), (0, 1, 2, None)):
        joint = BELIEF * LOOKS[0].outcomes[first]
        joint = joint * (0.4 if second is None else 0.6 * LOOKS[1].outcomes[second])
        key = tuple(np.round(joint / joint.sum(), 9))
        wanted[key] = wanted.get(key, 0.0) + float(joint.sum())
    assert sum(wanted.values()) == pytest.approx(1.0)
    drawn = [tuple(row) for row in np.round(all_answered(BELIEF, LOOKS, 20_000), 9)]
    for key, chance in wanted.items():
        assert drawn.count(key) / len(drawn) == pytest.approx(chance, abs=0.015)


def opened(*said: tuple[str, str | float]) -> Session:
    start = [("role", "counter"), ("danger_now", "none"), ("unit", "default"), ("complaint", "no-output")]
    events = [
        Event("answered", AT, about=about, value=value) for about, value in [*start, ("brought", "nothing"), *said]
    ]
    return Session(models(), events)


def test_what_is_decided_now_stands_in_some_share_of_such_jobs() -> None:
    session = opened()
    remedy, _ = session.planner.act_now(session.belief, "mend")
    found = firmness(session, remedy.repair if remedy else None)
    assert found is not None
    assert 0.0 < found.stands < 1.0
    assert found.turns is not None
    assert found.turns.repair != (remedy.repair if remedy else None)


def test_more_known_makes_it_firmer_on_the_whole() -> None:
    vague = opened()
    told = opened(("water_look", "clear"), ("months_since_clean", 14.0), ("cell_bubbles", "faint"), ("hardness", 480.0))
    found = [
        firmness(session, remedy.repair if remedy else None)
        for session in (vague, told)
        for remedy in [session.planner.act_now(session.belief, "mend")[0]]
    ]
    assert found[0] is not None
    assert found[1] is not None
    assert found[1].stands > found[0].stands


def test_what_the_belief_does_not_decide_has_no_firmness() -> None:
    session = opened()
    session.record(Event("danger_reported", AT, about="tingle"))
    assert firmness(session, None) is None
    free = opened()
    decided = free.planner.act_now(free.belief, "mend")[0]
    other = next(each.repair for each in free.planner.remedies if decided is None or each.repair != decided.repair)
    assert firmness(free, other) is None

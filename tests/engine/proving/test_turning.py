"""The smallest change of one number that turns a call, held against trying every number."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from engine.evaluation.scoring import Score, score
from engine.inference.belief import posterior
from engine.inference.compiling import compile_tree
from engine.knowledge.model import frozen
from engine.proving.numbers import Number, numbers_of, with_number
from engine.proving.touch import touched
from engine.proving.turning import beside, moved, smallest_turn, turns_of
from engine.session.models import Models
from tests.shipped import every_call, knowledge, models, visible_calls

pytestmark = pytest.mark.e2e

CALLS = [call for call in every_call() if call.complaint == "cell-leak"][:4]


def stays(item: Score, number: Number, value: float) -> bool:
    """Whether the call comes out as it did, with the same answers and one number changed: reckoned anew as a whole."""
    session = item.run.session
    spoken = {found.id for found in session.evidence} | {*session.tree.given}
    known = replace(
        knowledge(),
        checks=frozen({i: check for i, check in knowledge().checks.items() if i in spoken}),
        findings=frozen({i: finding for i, finding in knowledge().findings.items() if i in spoken}),
    )
    changed = with_number(known, number, value)
    belief = posterior(compile_tree(changed, changed.trees[session.tree.id]), session.evidence)
    best, true = set(session.model.hypotheses[int(np.argmax(belief))]), set(item.call.causes or ())
    return (best <= true and bool(best) == bool(true)) is item.first


def nearer(number: Number, now: float, decibans: float) -> list[float]:
    """The values of a number that are that far away, down and up."""
    if number.path[0] == "likelier":
        return [now * 10 ** (sign * decibans / 10) for sign in (-1, 1)]
    odds = now / (1 - now)
    return [o / (1 + o) for o in (odds * 10 ** (sign * decibans / 10) for sign in (-1, 1))]


@pytest.mark.no_cover
@pytest.mark.parametrize("call", CALLS, ids=lambda call: call.name)
def test_no_number_turns_it_by_less(call: object) -> None:
    item = score(models(), call)  # type: ignore[arg-type]
    least = min(turns_of(knowledge(), item), key=lambda turn: abs(turn.decibans))
    assert not stays(item, least.number, least.then)
    session = item.run.session
    near = {*session.tree.singles, session.tree.id, *(found.id for found in session.evidence)}
    tried = 0
    for number, now in numbers_of(knowledge()).items():
        inner = number.path[0] in ("shows", "likelier", "usual", "here")
        met = number.entry in near and (not inner or bool(near & {*number.path}))
        if not met or number.kind not in ("tree", "cause") or not 0.0 < now < 1.0:
            continue
        for value in nearer(number, now, 0.93 * abs(least.decibans)):
            if 0.001 <= value <= 0.98:
                tried += 1
                assert stays(item, number, value), (number, now, value)
    assert tried > 30


def test_a_turn_is_told_as_a_whole_run_comes_out() -> None:
    for call in visible_calls()[:3]:
        item = score(models(), call)
        turn = smallest_turn(models(), item)
        if turn is not None and turn.confirmed:
            again = score(Models(with_number(knowledge(), turn.number, turn.then)), call)
            assert again.first is not item.first
            assert again.named == turn.first
            assert turn.decibans == pytest.approx(moved(turn.number, turn.now, turn.then))


@pytest.mark.no_cover
def test_what_else_turns_is_what_a_run_of_every_call_finds() -> None:
    """Those that it is said not to touch are run too, and come out as before."""
    calls = [score(models(), call) for call in visible_calls()[::2]]
    item = next(one for one in calls if one.call.complaint == "low-salt")
    turn = smallest_turn(models(), item)
    assert turn is not None
    found = beside(models(), turn, item, calls)
    changed = Models(with_number(knowledge(), turn.number, turn.then))
    after = {one.call.name: score(changed, one.call) for one in calls if one.call != item.call}
    wrong = {one.call.name for one in calls if one.call.name in after and one.first and not after[one.call.name].first}
    assert set(found.wrong) == wrong
    may = touched(knowledge(), changed.knowledge)
    for one in calls:
        if one.call.name in after and not may(one.call):
            assert [e.about for e in after[one.call.name].run.session.events] == [
                e.about for e in one.run.session.events
            ]
            assert after[one.call.name].ranked == one.ranked


def test_words_touch_no_call_and_a_check_touches_all() -> None:
    causes, checks = knowledge().causes, knowledge().checks
    reworded = frozen({**causes, "salt_low": replace(causes["salt_low"], names=("x",), source="x")})
    may = touched(knowledge(), replace(knowledge(), causes=reworded))
    assert not any(map(may, visible_calls()))
    needy = frozen({**checks, "tested_salt": replace(checks["tested_salt"], needs="mains")})
    may = touched(knowledge(), replace(knowledge(), checks=needy))
    assert all(map(may, visible_calls()))

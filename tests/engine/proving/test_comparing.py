"""What an edit moved, and by which number: edits planted, and what is said of them held against plain runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from engine.evaluation.calls import WorkedCall
from engine.evaluation.scoring import score
from engine.knowledge.model import Knowledge, frozen
from engine.proving.comparing import CallOutcome, Comparison, Moved, aspects_moved, outcome_of_score, worst_first
from engine.proving.edits import Edit, edits, without
from engine.proving.numbers import Number, numbers_of, with_number
from engine.proving.touch import bare
from engine.session.models import Models
from tests.shipped import every_call, knowledge, models

pytestmark = pytest.mark.e2e

WORN = Number("tree", "low-salt", ("of_100_calls", "cell_worn"))
SCALED = Number("tree", "low-salt", ("of_100_calls", "cell_scaled"))
CALLS = [call for call in every_call() if call.complaint == "low-salt"][:16]


def look(made: Models, call: WorkedCall) -> CallOutcome:
    return outcome_of_score(score(made, call), {})


def compared(new: Knowledge, calls: Sequence[WorkedCall] = CALLS) -> tuple[Comparison, list[Moved]]:
    held = Comparison(models(), Models(new), look)
    found = (held.moved(call, look(held.new, call)) for call in calls)
    return held, [one for one in found if one is not None]


def changed(*numbers: tuple[Number, float]) -> Knowledge:
    made = knowledge()
    for number, value in numbers:
        made = with_number(made, number, value)
    return made


def test_an_edit_is_told_as_it_was_made_and_taken_back_as_a_whole() -> None:
    for number in list(numbers_of(knowledge()))[::131]:
        value = 0.37 if number.path[0] not in ("minutes", "limit", "values") else 7.0
        new = changed((number, value))
        (edit,) = edits(knowledge(), new)
        assert number in [each for each, _, _ in edit.numbers]
        back = without(knowledge(), new, edit)
        assert back is not None
        assert numbers_of(back) == pytest.approx(numbers_of(knowledge()))


def test_what_is_no_number_is_an_edit_too_and_words_are_none() -> None:
    check = knowledge().checks["cell_plates"]
    new = replace(
        knowledge(), checks=frozen({**knowledge().checks, check.id: replace(check, needs="meter", source="x")})
    )
    assert edits(knowledge(), new) == (Edit("check", "cell_plates", ("needs",)),)
    back = without(knowledge(), new, edits(knowledge(), new)[0])
    assert back is not None
    assert bare(back.checks) == bare(knowledge().checks)


def test_the_number_that_moved_a_call_is_the_one_planted() -> None:
    """A slipped digit beside an edit of no consequence: plain runs with each of them alone say which it was."""
    idle = Number("tree", "flow-fault", ("of_100_calls", "filter_dirty"))
    held, moved = compared(changed((WORN, 0.001), (idle, 0.14)))
    assert len(held.edits) == 2
    assert moved
    for one in moved:
        assert one.culprit is not None
        assert [edit.path[-1] for edit in one.culprit.edits] == ["cell_worn"]


@pytest.mark.no_cover
def test_of_two_edits_each_is_told_for_what_it_does() -> None:
    """By plain runs: needing both means that either taken back brings the call back, else only both together do."""
    one, other = (WORN, 0.01), (SCALED, 0.5)
    _, moved = compared(changed(one, other))
    alone = {"cell_worn": Models(changed(other)), "cell_scaled": Models(changed(one))}
    assert moved
    for each in moved:
        assert each.before is not None
        aspect = aspects_moved(each.before, each.after)[0]
        was = getattr(each.before, aspect)
        back = {name for name, made in alone.items() if getattr(look(made, each.call), aspect) == was}
        assert each.culprit is not None
        told = {edit.path[-1] for edit in each.culprit.edits}
        if len(told) == 1 or each.culprit.needs_both:
            assert told == back
        else:
            assert back == set()


def test_a_call_that_turned_wrong_comes_first_and_one_that_turned_right_last() -> None:
    _, moved = compared(changed((WORN, 0.001)))
    turned_round = [replace(one, before=one.after, after=one.before) for one in moved if one.before is not None]
    ways = [one.turned for one in worst_first([*turned_round, *moved])]
    assert ways == sorted(ways, key=["wrong", "other", "right"].index)
    assert {"wrong", "right"} <= set(ways)


def test_what_came_anew_is_not_taken_back_alone_as_others_name_it() -> None:
    """An act that a repair is made of now: without it the repair would be made of something that is not there."""
    made = knowledge()
    (name, act), *_ = made.acts.items()
    new = replace(made, acts=frozen({**made.acts, "new_act": replace(act, id="new_act")}))
    came = [edit for edit in edits(made, new) if edit.entry == "new_act"]
    assert [edit.kind for edit in came] == ["act"]
    assert without(made, new, came[0]) is None
    gone = [edit for edit in edits(new, made) if edit.entry == "new_act"]
    back = without(new, made, gone[0])
    assert back is not None
    assert name in back.acts
    assert "new_act" in back.acts

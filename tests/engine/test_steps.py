from __future__ import annotations

import pytest

from engine.steps import CHOOSING, FIXED_STATES, Walk, table
from tests.shipped import knowledge

TREES = list(knowledge().trees.values())


@pytest.mark.parametrize("tree", TREES, ids=lambda tree: tree.id)
def test_states_are_the_written_steps_and_a_fixed_few(tree: object) -> None:
    rows = table(tree)  # type: ignore[arg-type]
    states = {row[1] for row in rows} | {row[2] for row in rows}
    assert states <= set(tree.steps) | set(FIXED_STATES)  # type: ignore[attr-defined]


@pytest.mark.parametrize("tree", TREES, ids=lambda tree: tree.id)
def test_dont_know_goes_on_from_every_written_question(tree: object) -> None:
    walk = Walk(tree)  # type: ignore[arg-type]
    seen = []
    while walk.asks is not None:
        seen.append(walk.state)
        walk.fire("answer", None)
    assert walk.state == CHOOSING
    assert len(seen) == len(set(seen))


def test_an_answer_goes_where_the_tree_says() -> None:
    walk = Walk(knowledge().trees["low-salt"])
    assert walk.asks == "salt_added"
    walk.fire("answer", "within_a_day")
    assert walk.state == "mixing"
    other = Walk(knowledge().trees["low-salt"])
    other.fire("answer", "not_lately")
    assert other.state == "tested"


def test_isolating_comes_back_to_the_step_that_called_for_it() -> None:
    walk = Walk(knowledge().trees["low-salt"])
    walk.fire("isolate")
    assert walk.state == "isolating"
    walk.fire("isolated", "start")
    assert walk.state == "start"


@pytest.mark.parametrize("trigger", ["repaired", "dance"])
def test_a_transition_the_table_has_not_is_refused(trigger: str) -> None:
    with pytest.raises(RuntimeError, match="no way on"):
        Walk(knowledge().trees["low-salt"]).fire(trigger)

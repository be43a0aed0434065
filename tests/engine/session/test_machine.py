from __future__ import annotations

import pytest

from engine.session.machine import CHOOSING, FIXED_STATES, Walk, table
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


@pytest.mark.parametrize("tree", TREES, ids=lambda tree: tree.id)
def test_the_chart_is_the_machine_read_back(tree: object) -> None:
    """Every transition of the table is in it, and the first state is where a walk begins."""
    walk = Walk(tree)  # type: ignore[arg-type]
    chart = walk.chart
    ways = [(way.trigger, way.source, way.goal, way.answer) for way in chart.transitions]
    assert sorted(ways, key=str) == sorted(table(tree), key=str)  # type: ignore[arg-type]
    assert chart.states[0].name == walk.state
    assert {state.name for state in chart.states} >= {way[1] for way in ways} | {way[2] for way in ways}


@pytest.mark.parametrize("tree", TREES, ids=lambda tree: tree.id)
def test_each_way_of_the_chart_can_be_walked(tree: object) -> None:
    """From the first state: an answer that the chart names leads where the chart says."""
    chart = Walk(tree).chart  # type: ignore[arg-type]
    first = chart.states[0].name
    for way in chart.transitions:
        if way.trigger == "answer" and way.source == first:
            walk = Walk(tree)  # type: ignore[arg-type]
            walk.fire("answer", way.answer)
            assert walk.state == way.goal

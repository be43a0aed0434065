"""The layout: whatever the boxes and arrows, nothing overlaps and arrows meet no box but their own two."""

from __future__ import annotations

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from reports.tree_diagram.layers import Layout, PlacedBox, lay_out
from tests.example_counts import up_to

Link = tuple[int, int, tuple[float, float]]
sizes = st.tuples(st.floats(10, 200), st.floats(10, 80))


@st.composite
def graphs(draw: st.DrawFn) -> tuple[dict[int, tuple[float, float]], list[Link]]:
    count = draw(st.integers(1, 9))
    ends = st.tuples(st.integers(0, count - 1), st.integers(0, count - 1)).filter(lambda pair: pair[0] != pair[1])
    pairs = draw(st.lists(ends, max_size=16)) if count > 1 else []
    return {k: draw(sizes) for k in range(count)}, [(a, b, draw(sizes)) for a, b in pairs]


def meet(one: PlacedBox, other: PlacedBox) -> bool:
    across = min(one.left + one.width, other.left + other.width) - max(one.left, other.left)
    down = min(one.top + one.height, other.top + other.height) - max(one.top, other.top)
    return across > 0.01 and down > 0.01


def inside(place: PlacedBox, x: float, y: float) -> bool:
    return (
        place.left + 0.1 < x < place.left + place.width - 0.1 and place.top + 0.1 < y < place.top + place.height - 0.1
    )


def along(points: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    """Many points on a broken line."""
    steps = [k / 20 for k in range(21)]
    return [(a + (c - a) * s, b + (d - b) * s) for (a, b), (c, d) in itertools.pairwise(points) for s in steps]


def laid(graph: tuple[dict[int, tuple[float, float]], list[Link]]) -> Layout[int]:
    return lay_out(*graph)


@settings(deadline=None, max_examples=up_to(150))
@given(graphs())
def test_no_two_boxes_or_labels_overlap(graph: tuple[dict[int, tuple[float, float]], list[Link]]) -> None:
    layout = laid(graph)
    places = [*layout.boxes.values(), *(route.label for route in layout.routes)]
    assert not [pair for pair in itertools.combinations(places, 2) if meet(*pair)]
    for place in places:
        assert place.left >= -0.01
        assert place.left + place.width <= layout.width + 0.01
        assert place.top + place.height <= layout.height + 0.01


@settings(deadline=None, max_examples=up_to(150))
@given(graphs())
def test_an_arrow_runs_from_its_source_to_its_goal_and_through_no_box_or_strange_label(
    graph: tuple[dict[int, tuple[float, float]], list[Link]],
) -> None:
    layout = laid(graph)
    assert [(route.source, route.goal) for route in layout.routes] == [(a, b) for a, b, _ in graph[1]]
    for route in layout.routes:
        source, goal = layout.boxes[route.source], layout.boxes[route.goal]
        for place, (x, y) in ((source, route.points[0]), (goal, route.points[-1])):
            assert place.left < x < place.left + place.width
            assert min(abs(y - place.top), abs(y - place.top - place.height)) < 0.01
        others = [*layout.boxes.values(), *(other.label for other in layout.routes if other is not route)]
        assert not [p for p in others for x, y in along(route.points) if inside(p, x, y)]


@settings(deadline=None, max_examples=up_to(80))
@given(graphs())
def test_only_arrows_of_circles_run_up(graph: tuple[dict[int, tuple[float, float]], list[Link]]) -> None:
    layout = laid(graph)
    forward = [(a, b) for a, b, _ in graph[1] if a < b]
    acyclic = lay_out(graph[0], [(a, b, (10.0, 10.0)) for a, b in forward])
    assert not any(route.up for route in acyclic.routes)
    for route in layout.routes:
        source, goal = layout.boxes[route.source], layout.boxes[route.goal]
        assert route.up == (goal.top < source.top)


def test_a_chain_stands_in_one_line() -> None:
    layout = lay_out(dict.fromkeys(range(4), (40.0, 20.0)), [(k, k + 1, (10.0, 10.0)) for k in range(3)])
    assert len({round(box.left + box.width / 2, 3) for box in layout.boxes.values()}) == 1

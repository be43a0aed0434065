"""The questions of a tree as a drawing: what follows on each answer, as deep as was wished for."""

from __future__ import annotations

import pytest

from reports.card.questions import question_drawing
from reports.card.wording import Wordings
from reports.tree_diagram.forms import outline, svg
from tests.reports.card.cards import TREES, card
from tests.reports.charts.looking import drawing_problems
from tests.shipped import knowledge


@pytest.mark.parametrize("tree", TREES)
def test_each_question_that_is_drawn_says_what_follows_on_each_of_its_answers(tree: str) -> None:
    drawing, boxes = question_drawing(knowledge(), card(tree), depth=4), card(tree).boxes
    wordings, shown = Wordings(knowledge(), card(tree)), {node.name for node in drawing.nodes}
    for node in drawing.nodes:
        if node.kind != "question":
            continue
        box = boxes[int(node.name) - 1]
        for way in box.ways:
            if boxes[way.goal - 1].kind != "done":
                goal = str(way.goal) if str(way.goal) in shown else "deeper"
                (link,) = [link for link in drawing.links if (link.source, link.goal) == (node.name, goal)]
                assert wordings.answers(box, way.answers) in link.labels
    assert len(outline(drawing).splitlines()) >= len(drawing.nodes) + len(drawing.links)


def test_deeper_shows_more_and_all_of_it_in_the_end() -> None:
    counts = [len(question_drawing(knowledge(), card("low-salt"), depth).nodes) for depth in (1, 3, 6, 40)]
    assert counts == sorted(counts)
    assert counts[0] == 2
    assert counts[-1] == len(card("low-salt").boxes) - 1


def test_the_drawing_overlaps_nowhere_and_cuts_nothing() -> None:
    assert drawing_problems(svg(question_drawing(knowledge(), card("no-output"))), narrow=False) == []

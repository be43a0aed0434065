"""A tree's drawing shows the machine that runs: each state and transition, in every form, with nothing cut or lost."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from engine.knowledge.loader import knowledge_from
from engine.knowledge.model import Knowledge
from reports.tree_diagram.chart import TreeDrawing, tree_drawing
from reports.tree_diagram.forms import FORMS, html, mermaid, outline, svg
from tests.overlay import GOOD, contents_of
from tests.reports.charts.looking import Box, boxes, drawing_problems, letters, texts
from tests.shipped import knowledge, models

TREES = list(knowledge().trees)
HOSTILE = '</text><script>alert(1)</script> & " ] --> n1[x] %% end'


def squeezed(text: str) -> str:
    return "".join(text.split())


def hostile() -> Knowledge:
    """The small example with a check whose name tries to break out of every form."""
    files = contents_of(GOOD)
    quoted = HOSTILE.replace("'", "''")
    named = {
        name: re.sub(rb"(?m)^  technician: .*$", f"  technician: '{quoted}'".encode(), text)
        for name, text in files.items()
    }
    return knowledge_from("hostile", named)


def drawn() -> list[TreeDrawing]:
    return [*(tree_drawing(knowledge(), tree) for tree in TREES), tree_drawing(hostile(), "low-salt")]


@pytest.mark.parametrize("tree", TREES)
def test_the_links_are_the_machine_s_transitions_and_no_others(tree: str) -> None:
    drawing = tree_drawing(knowledge(), tree)
    ways = [way for link in drawing.links for way in link.stands_for]
    assert sorted(map(repr, ways)) == sorted(map(repr, models().machine(tree).transitions))
    members = {node.name: set(node.members) or {node.name} for node in drawing.nodes}
    for link in drawing.links:
        assert {way.source for way in link.stands_for} == members[link.source]
        assert {way.goal for way in link.stands_for} == members[link.goal]


@pytest.mark.parametrize("tree", TREES)
def test_every_step_of_the_tree_that_asks_is_a_state(tree: str) -> None:
    written = {step.id for step in knowledge().trees[tree].steps.values() if step.ask}
    assert written <= {node.name for node in tree_drawing(knowledge(), tree).nodes}


def test_every_repair_that_a_written_step_proposes_stands_at_the_way_to_it() -> None:
    small = knowledge_from("small", contents_of(GOOD))
    proposed = [step.propose for tree in small.trees.values() for step in tree.steps.values() if step.propose]
    labels = [label for tree in small.trees for link in tree_drawing(small, tree).links for label in link.labels]
    assert proposed
    for repair in proposed:
        (told,) = [label for label in labels if small.repairs[repair].wording.technician in label]
        assert told.startswith("Within a day")


@pytest.mark.parametrize("drawing", drawn(), ids=lambda drawing: drawing.title[:20])
def test_each_state_and_each_label_stands_in_every_form(drawing: TreeDrawing) -> None:
    shown = {
        "text": squeezed(outline(drawing)),
        "svg": letters(svg(drawing)),
        "mermaid": squeezed(re.sub(r"#(\d+);", lambda found: chr(int(found[1])), mermaid(drawing))),
    }
    for form, written in shown.items():
        for text in (*(n.text for n in drawing.nodes), *(label for link in drawing.links for label in link.labels)):
            assert squeezed(text) in written, form


@pytest.mark.parametrize("drawing", drawn(), ids=lambda drawing: drawing.title[:20])
def test_the_svg_overlaps_nowhere_and_cuts_nothing(drawing: TreeDrawing) -> None:
    picture = svg(drawing)
    assert drawing_problems(picture, narrow=False) == []
    edged = [box for box in boxes(picture)[1:] if box.right - box.left >= 149.0]
    assert len(edged) == len(drawing.nodes)
    for text in texts(picture):
        around = [box for box in edged if box.meets(text)]
        assert all(box.holds(text) for box in around)
    ElementTree.fromstring(picture)


@pytest.mark.parametrize("drawing", drawn(), ids=lambda drawing: drawing.title[:20])
def test_mermaid_holds_no_sign_of_its_own_inside_a_text(drawing: TreeDrawing) -> None:
    """Inside the quotes stand only letters, digits, space, `.,?-` and numbers of signs, which end or start nothing."""
    lines = mermaid(drawing).splitlines()
    assert lines[0] == "flowchart TD"
    assert len(lines) == 1 + len(drawing.nodes) + len(drawing.links)
    for line in lines[1:]:
        (inside,) = re.findall(r'"([^"]*)"', line)
        assert re.fullmatch(r"(?:[A-Za-z0-9 .,?-]|#\d+;)+", inside)
        assert re.fullmatch(r'    n\d+ -->\|""\| n\d+|    n\d+[\[{(]+""[\]})]+', line.replace(inside, ""))


@pytest.mark.parametrize("drawing", drawn(), ids=lambda drawing: drawing.title[:20])
def test_the_page_is_whole_and_reaches_for_nothing(drawing: TreeDrawing) -> None:
    page = html(drawing)
    assert page.startswith("<!doctype html>")
    assert "<script" not in page
    assert not re.search(r"(?:src|href)\s*=|url\(|@import", page)
    assert re.sub(r"\s", "", outline(drawing).splitlines()[0])[:12] in re.sub(r"\s", "", page)


def test_every_form_has_a_name() -> None:
    assert set(FORMS) == {"svg", "html", "mermaid", "text"}


def test_boxes_hold_their_texts() -> None:
    """The measure itself: a text that sticks out of a box is seen to do so."""
    assert not Box("", 0, 0, 10, 10).holds(Box("a", 5, 5, 12, 8))
    assert Box("", 0, 0, 10, 10).holds(Box("a", 2, 2, 8, 8))

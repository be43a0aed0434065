"""What is drawn of a tree's questions: what is asked first and what follows on each answer, as deep as one can read."""

from __future__ import annotations

from engine.foundation.texts import say
from engine.knowledge.model import Knowledge
from reports.card.boxes import Box, Card
from reports.card.wording import Wordings
from reports.tree_diagram.chart import Kind, Link, Node, TreeDrawing

DEPTH = 5
"""So many boxes one below the other can be read on a screen."""
_DEEPER = "deeper"


def question_drawing(knowledge: Knowledge, card: Card, depth: int = DEPTH) -> TreeDrawing:
    """The questions of a tree, as its card asks them.

    Args:
        knowledge: what the card was made from.
        card: the card of the tree.
        depth: boxes from the first to the last that is drawn, at least 1.
    """
    wordings = Wordings(knowledge, card)
    shown = _within(card, depth)
    nodes = [Node(str(box.number), wordings.title(box), _kind(box)) for box in card.boxes if box.number in shown]
    links: list[Link] = []
    for box in card.boxes:
        # That a repair helped ends every card alike; what follows where it did not is worth an arrow.
        ways = [way for way in box.ways if box.number in shown and card.boxes[way.goal - 1].kind != "done"]
        for way in ways:
            goal = str(way.goal) if way.goal in shown else _DEEPER
            links.append(Link(str(box.number), goal, (wordings.answers(box, way.answers),), ()))
    if any(link.goal == _DEEPER for link in links):
        nodes.append(Node(_DEEPER, say("pictures.tree.deeper"), "end"))
    title = say(
        "pictures.tree.questions", tree=card.tree, complaint=wordings.spoken(knowledge.trees[card.tree].wording)
    )
    return TreeDrawing(card.tree, title, tuple(nodes), tuple(_joined(links)))


def _within(card: Card, depth: int) -> set[int]:
    """The numbers of the boxes that so many steps lead to."""
    shown, edge = {1}, {1}
    for _ in range(depth - 1):
        edge = {way.goal for number in edge for way in card.boxes[number - 1].ways} - shown
        shown |= edge
    return {number for number in shown if card.boxes[number - 1].kind != "done"}


def _joined(links: list[Link]) -> list[Link]:
    """The links, those between the same two nodes as one."""
    found: dict[tuple[str, str], tuple[str, ...]] = {}
    for link in links:
        key = (link.source, link.goal)
        found[key] = (*found.get(key, ()), *link.labels)
    return [Link(source, goal, labels, ()) for (source, goal), labels in found.items()]


def _kind(box: Box) -> Kind:
    if box.kind == "check":
        return "question"
    return "state" if box.kind == "repair" else "end"

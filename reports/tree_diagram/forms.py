"""A tree's drawing in each form: an outline in text, Mermaid text, SVG, and a page that holds drawing and outline."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from engine.foundation.texts import language_in_use, say
from reports.charts.canvas import FAINT, INK, LEAST, MAIN, PAPER, Canvas
from reports.charts.lettering import LINE, lines_in, width_of
from reports.renderers.environment import markup_environment
from reports.tree_diagram.chart import Link, Node, TreeDrawing
from reports.tree_diagram.layers import Layout, Route, lay_out

_BOX, _LABEL = 150.0, 120.0
_MARGIN = 14.0
_HEAD = 34.0
_SAFE = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 .,?-")


def outline(drawing: TreeDrawing) -> str:
    """The tree as an outline: every state with its ways out, and what may happen at any of several states."""
    lines = [drawing.title, say("pictures.tree.outline.begins", name=drawing.nodes[0].name), ""]
    for node in drawing.nodes:
        lines.append(_head(node))
        for link in drawing.links:
            if link.source == node.name:
                ways = (say("pictures.tree.outline.way", label=label, goal=link.goal) for label in link.labels)
                lines += [f"    {way}" for way in ways]
    return "\n".join(lines) + "\n"


def mermaid(drawing: TreeDrawing) -> str:
    """The tree as a Mermaid flowchart. Every sign that could mean something there is written as its number."""
    ids = {node.name: f"n{place}" for place, node in enumerate(drawing.nodes)}
    lines = ["flowchart TD"]
    for node in drawing.nodes:
        left, right = {"question": ("{{", "}}"), "end": ("([", "])"), "group": ("[[", "]]")}.get(node.kind, ("[", "]"))
        lines.append(f'    {ids[node.name]}{left}"{_numbered(_boxed(node))}"{right}')
    for link in drawing.links:
        label = _numbered(_joined(link))
        lines.append(f'    {ids[link.source]} -->|"{label}"| {ids[link.goal]}')
    return "\n".join(lines) + "\n"


def svg(drawing: TreeDrawing) -> str:
    """The tree as a drawing in layers from top to bottom; arrows that lead back up are dashed."""
    # What may happen at any step stands beside the beginning, not below what it leads to.
    ordered = [drawing.nodes[0], *sorted(drawing.nodes[1:], key=lambda node: node.kind != "group")]
    boxes = {node.name: lines_in(_boxed(node), _BOX - 14.0, LEAST) for node in ordered}
    labels = [lines_in(_joined(link), _LABEL, LEAST) for link in drawing.links]
    layout = lay_out(
        {name: (_BOX, LEAST * LINE * len(lines) + 14.0) for name, lines in boxes.items()},
        [
            (
                link.source,
                link.goal,
                (max(width_of(line, LEAST) for line in lines) + 6.0, LEAST * LINE * len(lines) + 4.0),
            )
            for link, lines in zip(drawing.links, labels, strict=True)
        ],
    )
    title = lines_in(drawing.title, max(layout.width, 320.0), LEAST + 2.0)
    head = _HEAD + (LEAST + 2.0) * LINE * (len(title) - 1)
    canvas = Canvas(max(layout.width, 320.0) + 2 * _MARGIN)
    canvas.paragraph(_MARGIN, 8.0, drawing.title, max(layout.width, 320.0), LEAST + 2.0, bold=True)
    for route, lines in zip(layout.routes, labels, strict=True):
        _draw_route(canvas, route, lines, head)
    for node in drawing.nodes:
        _draw_box(canvas, node, boxes[node.name], layout, head)
    return canvas.svg(layout.height + head + _MARGIN, drawing.title, outline(drawing).splitlines()[1:])


def html(drawing: TreeDrawing) -> str:
    """A page of its own with the drawing and, for whoever reads rather than looks, the outline."""
    template = markup_environment().get_template("tree.html.j2")
    return template.render(
        title=drawing.title, language=language_in_use(), drawing=svg(drawing), outline=outline(drawing)
    )


FORMS: Mapping[str, Callable[[TreeDrawing], str]] = {"svg": svg, "html": html, "mermaid": mermaid, "text": outline}
"""The forms by the names that a person types."""


def _head(node: Node) -> str:
    if node.kind == "question":
        return say("pictures.tree.outline.asks", name=node.name, text=node.text)
    return _boxed(node) if node.members else say("pictures.tree.outline.is", name=node.name, text=node.text)


def _boxed(node: Node) -> str:
    """What stands in a node's box: a step's name and what it does, a fixed state's words, a group's members."""
    if node.members:
        return say("pictures.tree.outline.of", text=node.text, members=", ".join(node.members))
    if node.kind in ("state", "end"):
        return node.text
    return say("pictures.tree.outline.is", name=node.name, text=node.text)


def _joined(link: Link) -> str:
    return " / ".join(link.labels)


def _numbered(text: str) -> str:
    return "".join(char if char in _SAFE else f"#{ord(char)};" for char in text)


def _draw_box(canvas: Canvas, node: Node, lines: tuple[str, ...], layout: Layout[str], head: float) -> None:
    box = layout.boxes[node.name]
    left, top = box.left + _MARGIN, box.top + head
    thick = 2.5 if node.kind == "question" else 1.2
    dash = "5 3" if node.kind == "group" else ""
    edge = MAIN if node.kind == "question" else INK
    round_by = box.height / 2 if node.kind == "end" else 4.0
    canvas.box(left, top, box.width, box.height, PAPER, edge, thick, dash, round_by)
    canvas.label(left, top, box.width, box.height, lines)


def _draw_route(canvas: Canvas, route: Route[str], lines: tuple[str, ...], head: float) -> None:
    points = [(x + _MARGIN, y + head) for x, y in route.points]
    place = (route.label.left + _MARGIN, route.label.top + head, route.label.width, route.label.height)
    canvas.arrow(points, FAINT if route.up else INK, 1.2, "5 3" if route.up else "")
    canvas.box(*place, PAPER, PAPER, 0.0)
    canvas.label(*place, lines)

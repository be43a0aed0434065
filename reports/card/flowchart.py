"""A card's boxes as one drawing: side ways stand further in, and the most probable way goes straight down."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engine.foundation.texts import say
from reports.card.unroll import Box, Card, Way
from reports.card.wording import Wordings
from reports.charts.canvas import FAINT, INK, LEAST, MAIN, PAPER, Canvas
from reports.charts.lettering import LINE, lines_in
from reports.document import Picture
from reports.phrases import sentence

_WIDTH = 720.0
_EDGE = 4.0
_STEP = 24.0
_DEEPEST = 9
_TEXT = 11.5
_BOX, _GAP = 330.0, 6.5
_DISC = 10.0
_COLUMN = (_WIDTH - 2 * _EDGE - 12.0) / 2
_INNER = ("check", "repair")


@dataclass(frozen=True)
class _Row:
    """One box with its place, the lines inside it, and those of its ways beside it."""

    box: Box
    left: float
    top: float
    width: float
    title: tuple[str, ...]
    notes: tuple[str, ...]
    ways: tuple[tuple[str, ...], ...] = ()

    @property
    def height(self) -> float:
        """The height of the box itself, which its ways do not overtop."""
        own = _TEXT * LINE * len(self.title) + LEAST * LINE * len(self.notes) + 6.0
        return max(own, LEAST * LINE * sum(map(len, self.ways)), 2 * _DISC + 4.0)


def flowchart(card: Card, wordings: Wordings, cautions: Mapping[str, int]) -> Picture:
    """The card as a drawing that fits one page.

    Args:
        card: its boxes.
        wordings: their words.
        cautions: the number of each caution on the card.
    """
    canvas = Canvas(_WIDTH)
    parents = _parents(card)
    rows: dict[int, _Row] = {}
    y = _EDGE
    for box in card.boxes:
        if box.kind in _INNER:
            rows[box.number] = _inner(wordings, cautions, box, _depth(parents, box.number), y)
            y += rows[box.number].height + _GAP
    ends = _ends(card, wordings, cautions, y + 4.0)
    for number, row in rows.items():
        if number in parents:
            _link(canvas, rows[parents[number]], row)
    for row in (*rows.values(), *ends):
        _draw(canvas, row)
    height = max((row.top + row.height for row in (*rows.values(), *ends)), default=y) + _EDGE
    title = say("card.flowchart")
    words = tuple(_told(wordings, box) for box in card.boxes)
    return Picture(title, canvas.svg(height, title, words), words)


def _told(wordings: Wordings, box: Box) -> str:
    title = say("card.box", number=box.number, title=wordings.title(box).rstrip("."))
    return say("card.told", title=title, ways=wordings.ways_told(box)) if box.ways else sentence(title)


def _parents(card: Card) -> dict[int, int]:
    """For each check and repair: the box that leads to it. The ends are named by their numbers only."""
    return {way.goal: box.number for box in card.boxes for way in box.ways if card.boxes[way.goal - 1].kind in _INNER}


def _depth(parents: Mapping[int, int], number: int) -> int:
    """How far in a box stands: as its parent where it is the parent's last child, else one step further."""
    depth = 0
    while number in parents:
        parent = parents[number]
        depth += number != max(child for child, its in parents.items() if its == parent)
        number = parent
    return min(depth, _DEEPEST)


def _inner(wordings: Wordings, cautions: Mapping[str, int], box: Box, depth: int, top: float) -> _Row:
    left = _EDGE + _STEP * depth
    title, notes = _inside(wordings, cautions, box, _BOX, "")
    room = _WIDTH - _EDGE - left - _BOX - 14.0
    ways = tuple(lines_in(_way(answers, way), room, LEAST) for answers, way in wordings.ways(box, short=True))
    return _Row(box, left, top, _BOX, title, notes, ways)


def _ends(card: Card, wordings: Wordings, cautions: Mapping[str, int], top: float) -> list[_Row]:
    """The boxes that many ways share, in two columns below the others."""
    rows: list[_Row] = []
    tops = [top, top]
    ends = [box for box in card.boxes if box.kind not in _INNER]
    half = (len(ends) + 1) // 2
    for nth, box in enumerate(ends):
        column = int(nth >= half)
        ways = "; ".join(_way(answers, way) for answers, way in wordings.ways(box, short=True))
        title, notes = _inside(wordings, cautions, box, _COLUMN, ways)
        row = _Row(box, _EDGE + column * (_COLUMN + 12.0), tops[column], _COLUMN, title, notes)
        tops[column] += row.height + _GAP - 2.0
        rows.append(row)
    return rows


def _way(answers: str, way: Way) -> str:
    return say("card.way", answers=answers, goal=way.goal)


def _inside(
    wordings: Wordings, cautions: Mapping[str, int], box: Box, width: float, ways: str
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The title's lines in a box, and those of what must come first, its cautions' numbers and its ways."""
    room = width - 2 * _DISC - 18.0
    numbers = " ".join(f"C{number}" for number in sorted(cautions[name] for name in box.cautions))
    notes = " ".join(part for part in (wordings.before(box), numbers) if part)
    return lines_in(wordings.title(box), room, _TEXT), (*lines_in(notes, room, LEAST), *lines_in(ways, room, LEAST))


def _draw(canvas: Canvas, row: _Row) -> None:
    kind = row.box.kind
    edge, thick = (MAIN, 2.2) if kind in ("repair", "last") else (INK, 2.2 if kind in ("safe", "help") else 1.1)
    canvas.box(row.left, row.top, row.width, row.height, PAPER, edge, thick, "", 3.0 if kind in _INNER else 11.0)
    middle = row.top + row.height / 2
    canvas.number(row.left + _DISC + 5.0, middle, row.box.number, _DISC)
    y = middle - (_TEXT * LINE * len(row.title) + LEAST * LINE * len(row.notes)) / 2
    x = row.left + 2 * _DISC + 10.0
    for line in row.title:
        canvas.text(x, y + _TEXT, line, _TEXT, bold=True)
        y += _TEXT * LINE
    for line in row.notes:
        canvas.text(x, y + LEAST, line)
        y += LEAST * LINE
    y = middle - LEAST * LINE * sum(map(len, row.ways)) / 2
    for line in (line for way in row.ways for line in way):
        canvas.text(row.left + row.width + 10.0, y + LEAST, line)
        y += LEAST * LINE


def _link(canvas: Canvas, parent: _Row, child: _Row) -> None:
    """The way from a box down to one that only it leads to: straight, or down beside the boxes between and in."""
    spine = parent.left + 8.0
    foot = parent.top + parent.height
    if child.left <= spine:
        canvas.arrow([(spine, foot), (spine, child.top)], INK, 1.3)
        return
    middle = child.top + child.height / 2
    canvas.line([(spine, foot), (spine, middle)], FAINT, 1.3)
    canvas.arrow([(spine, middle), (child.left, middle)], INK, 1.3)

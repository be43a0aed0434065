"""A card's boxes as a drawing a page: side ways stand further in, and the most probable way goes straight down."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from engine.foundation.texts import say
from reports.card.boxes import OPEN, Box, Card, Way
from reports.card.wording import Wordings
from reports.charts.canvas import FAINT, INK, LEAST, MAIN, PAPER, Canvas
from reports.charts.lettering import LINE, lines_in
from reports.document import Picture
from reports.phrases import sentence

_WIDTH = 720.0
_EDGE = 4.0
_STEP = 12.0
_DEEPEST = 3
_TEXT = 11.5
_BOX, _GAP = 212.0, 5.5
_DISC = 10.0
_BETWEEN = 14.0
_COLUMN = (_WIDTH - 2 * _EDGE - _BETWEEN) / 2
_HIGHEST = 880.0
"""So high may a drawing be that its letters stay legible on one page: 186 mm wide it is 227 mm high."""


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


def flowcharts(card: Card, wordings: Wordings, cautions: Mapping[str, int]) -> list[Picture]:
    """The card as drawings that fit one page each: as few as hold it, two columns a page.

    Args:
        card: its boxes.
        wordings: their words.
        cautions: the number of each caution on the card.
    """
    columns: list[list[_Row]] = []
    boxes = list(card.boxes)
    while boxes:
        columns.append(_column(card, wordings, cautions, boxes, _HIGHEST))
        boxes = boxes[len(columns[-1]) :]
    # The last page is no higher than it must be: what follows on the paper stands below it.
    first = [row.box for column in columns[: (len(columns) - 1) // 2 * 2] for row in column]
    columns = columns[: (len(columns) - 1) // 2 * 2] + _balanced(card, wordings, cautions, card.boxes[len(first) :])
    pages = [columns[nth : nth + 2] for nth in range(0, len(columns), 2)]
    return [_drawing(card, wordings, page, (nth, len(pages))) for nth, page in enumerate(pages, start=1)]


def _balanced(card: Card, wordings: Wordings, cautions: Mapping[str, int], boxes: Sequence[Box]) -> list[list[_Row]]:
    """The last page's boxes in two columns of nearly the same height."""
    for most in range(40, int(_HIGHEST) + 1, 10):
        left = _column(card, wordings, cautions, boxes, float(most))
        right = _column(card, wordings, cautions, boxes[len(left) :], float(most))
        if len(left) + len(right) == len(boxes):
            return [left, right] if right else [left]
    left = _column(card, wordings, cautions, boxes, _HIGHEST)
    return [left, _column(card, wordings, cautions, boxes[len(left) :], _HIGHEST)]


def _column(
    card: Card, wordings: Wordings, cautions: Mapping[str, int], boxes: Sequence[Box], most: float
) -> list[_Row]:
    """The first of the boxes, one below the other, as many as so much height holds, and at least one."""
    rows: list[_Row] = []
    y = _EDGE
    for nth, box in enumerate(boxes, start=1):
        if box.kind in OPEN:
            parents = _parents(card, {each.number for each in boxes[:nth]})
            row = _inner(wordings, cautions, box, _depth(parents, box.number), y)
        else:
            title, notes = _inside(wordings, cautions, box, _COLUMN, "")
            row = _Row(box, _EDGE, y, _COLUMN, title, notes)
        if rows and row.top + row.height + _EDGE > most:
            break
        rows.append(row)
        y += row.height + _GAP
    return rows


def _drawing(card: Card, wordings: Wordings, columns: Sequence[Sequence[_Row]], page: tuple[int, int]) -> Picture:
    canvas = Canvas(_WIDTH)
    for nth, column in enumerate(columns):
        rows = {row.box.number: replace(row, left=row.left + nth * (_COLUMN + _BETWEEN)) for row in column}
        inner = {number for number, row in rows.items() if row.box.kind in OPEN}
        for child, parent in _parents(card, inner).items():
            _link(canvas, rows[parent], rows[child])
        for row in rows.values():
            _draw(canvas, row)
    height = max(row.top + row.height for column in columns for row in column) + _EDGE
    title = say("card.flowchart") if page[1] == 1 else say("card.flowchart_part", part=page[0], parts=page[1])
    words = tuple(_told(wordings, row.box) for column in columns for row in column)
    return Picture(title, canvas.svg(height, title, words), words)


def _told(wordings: Wordings, box: Box) -> str:
    parts = (wordings.title(box).rstrip("."), wordings.before(box).rstrip("."), wordings.left(box).rstrip("."))
    title = say("card.box", number=box.number, title=". ".join(part for part in parts if part))
    return say("card.told", title=title, ways=wordings.ways_told(box)) if box.ways else sentence(title)


def _parents(card: Card, here: Collection[int]) -> dict[int, int]:
    """For each check and repair on a page: the box there that leads to it. All others are named by their numbers."""
    return {
        way.goal: box.number
        for box in card.boxes
        if box.number in here
        for way in box.ways
        if way.goal in here and way.goal > box.number
    }


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
    room = _EDGE + _COLUMN - left - _BOX - 12.0
    ways = tuple(lines_in(_way(answers, way), room, LEAST) for answers, way in wordings.ways(box, short=True))
    return _Row(box, left, top, _BOX, title, notes, ways)


def _way(answers: str, way: Way) -> str:
    return say("card.way", answers=answers, goal=way.goal)


def _inside(
    wordings: Wordings, cautions: Mapping[str, int], box: Box, width: float, ways: str
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The title's lines in a box, and those of what must come first, its cautions' numbers and its ways."""
    room = width - 2 * _DISC - 18.0
    numbers = " ".join(f"C{number}" for number in sorted(cautions[name] for name in box.cautions))
    notes = " ".join(part for part in (wordings.before(box), wordings.left(box), numbers) if part)
    return lines_in(wordings.title(box), room, _TEXT), (*lines_in(notes, room, LEAST), *lines_in(ways, room, LEAST))


def _draw(canvas: Canvas, row: _Row) -> None:
    kind = row.box.kind
    edge, thick = (MAIN, 2.2) if kind == "repair" else (INK, 2.2 if kind in ("safe", "help") else 1.1)
    canvas.box(row.left, row.top, row.width, row.height, PAPER, edge, thick, "", 3.0 if kind in OPEN else 11.0)
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

"""Boxes in layers with arrows between them: circles opened, longest paths, few crossings, places without overlap."""

from __future__ import annotations

import functools
import itertools
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)

_SWEEPS = 12
_BEND_WIDTH = 10.0


@dataclass(frozen=True)
class PlacedBox:
    """Where a box or a label stands."""

    left: float
    top: float
    width: float
    height: float


@dataclass(frozen=True)
class Route(Generic[Key]):
    """An arrow's way: from its source through these points, past its label; `up` where it runs against the layers."""

    source: Key
    goal: Key
    points: tuple[tuple[float, float], ...]
    label: PlacedBox
    up: bool


@dataclass(frozen=True)
class Layout(Generic[Key]):
    """A whole layout: every box and every arrow with its label, and the room that it all takes."""

    boxes: Mapping[Key, PlacedBox]
    routes: tuple[Route[Key], ...]
    width: float
    height: float


@dataclass(eq=False)
class _Cell:
    """One thing in a layer: a box, a label, or a bend of a long arrow; `x` is its middle, `nth` its place there."""

    width: float
    height: float
    layer: int
    above: list[_Cell] = field(default_factory=list)
    below: list[_Cell] = field(default_factory=list)
    x: float = 0.0
    nth: int = 0


@dataclass
class _Row:
    """One layer: its cells from left to right, and where it lies once its height is known."""

    cells: list[_Cell]
    top: float = 0.0

    @property
    def height(self) -> float:
        """The height of the highest cell in it."""
        return max((cell.height for cell in self.cells), default=0.0)

    @property
    def foot(self) -> float:
        """Where it ends."""
        return self.top + self.height

    def place(self, cell: _Cell) -> PlacedBox:
        """Where a cell of this layer stands: in the middle of its height."""
        top = self.top + (self.height - cell.height) / 2
        return PlacedBox(cell.x - cell.width / 2, top, cell.width, cell.height)


def lay_out(
    sizes: Mapping[Key, tuple[float, float]],
    links: Sequence[tuple[Key, Key, tuple[float, float]]],
    gap: float = 22.0,
    between: float = 26.0,
) -> Layout[Key]:
    """Give every box and label a place.

    Args:
        sizes: width and height of each box; the first is where the drawing begins.
        links: source, goal and the size of the label, one for each arrow; none leads from a box to itself.
        gap: room between neighbours in a layer.
        between: room between layers, where arrows run slantwise.

    Returns: the layout. No two boxes or labels overlap, and arrows meet none but their own.
    """
    keys = list(sizes)
    turned = _against(keys, [(source, goal) for source, goal, _ in links])
    down = [(goal, source) if turn else (source, goal) for (source, goal, _), turn in zip(links, turned, strict=True)]
    layer = _layers(keys, down)
    boxes = {key: _Cell(*sizes[key], layer[key]) for key in keys}
    chains = [_chain(boxes[top], boxes[foot], size) for (top, foot), (_, _, size) in zip(down, links, strict=True)]
    rows = _ordered([*boxes.values(), *(cell for chain in chains for cell in chain[1:-1])])
    _spread(rows, gap)
    for above, row in itertools.pairwise(rows):
        row.top = above.foot + between
    routes = tuple(
        _route(source, goal, chain, rows, turn)
        for (source, goal, _), chain, turn in zip(links, chains, turned, strict=True)
    )
    width = max(cell.x + cell.width / 2 for row in rows for cell in row.cells)
    placed = {key: rows[cell.layer].place(cell) for key, cell in boxes.items()}
    return Layout(placed, routes, width, rows[-1].foot)


def _against(keys: Sequence[Key], links: Sequence[tuple[Key, Key]]) -> list[bool]:
    """Which links must be turned round so that no circle is left: those that lead back on a walk from the beginning."""
    turned = [False] * len(links)
    left: dict[Key, bool] = {}

    def walk(key: Key) -> None:
        left[key] = False
        for number, (source, goal) in enumerate(links):
            if source == key and goal not in left:
                walk(goal)
            elif source == key:
                turned[number] = not left[goal]
        left[key] = True

    for key in keys:
        if key not in left:
            walk(key)
    return turned


def _layers(keys: Sequence[Key], links: Sequence[tuple[Key, Key]]) -> dict[Key, int]:
    """The layer of each box: twice the longest way to it, so that a layer is left for labels below each."""
    layer = dict.fromkeys(keys, 0)
    for _ in keys:
        for source, goal in links:
            layer[goal] = max(layer[goal], layer[source] + 2)
    return layer


def _chain(top: _Cell, foot: _Cell, label: tuple[float, float]) -> list[_Cell]:
    """The cells that an arrow passes: its label right below the upper box, then a bend in every layer."""
    between = range(top.layer + 1, foot.layer)
    chain = [top, *(_Cell(*((_BEND_WIDTH, 0.0) if nth else label), layer) for nth, layer in enumerate(between)), foot]
    for upper, lower in itertools.pairwise(chain):
        upper.below.append(lower)
        lower.above.append(upper)
    return chain


def _ordered(cells: Sequence[_Cell]) -> list[_Row]:
    """The layers from left to right, each sorted by the middle of what it hangs on; the best of some sweeps."""
    rows = [_Row([cell for cell in cells if cell.layer == layer]) for layer in range(max(c.layer for c in cells) + 1)]
    _count(rows)
    best, fewest = [list(row.cells) for row in rows], _crossings(rows)
    for sweep in range(_SWEEPS):
        downward = sweep % 2 == 0
        for row in rows if downward else rows[::-1]:
            row.cells.sort(key=functools.partial(_barycentre, downward=downward))
            _count([row])
        found = _crossings(rows)
        if found < fewest:
            best, fewest = [list(row.cells) for row in rows], found
    return [_Row(order) for order in best]


def _count(rows: Sequence[_Row]) -> None:
    """Tell each cell its place in its layer."""
    for row in rows:
        for nth, cell in enumerate(row.cells):
            cell.nth = nth


def _barycentre(cell: _Cell, downward: bool) -> float:
    neighbours = cell.above if downward else cell.below
    return sum(near.nth for near in neighbours) / len(neighbours) if neighbours else float(cell.nth)


def _crossings(rows: Sequence[_Row]) -> int:
    count = 0
    for row in rows:
        ends = [nth for cell in row.cells for nth in sorted(low.nth for low in cell.below)]
        count += sum(later < end for place, end in enumerate(ends) for later in ends[place + 1 :])
    return count


def _spread(rows: Sequence[_Row], gap: float) -> None:
    """Give every cell its x: near the middle of its neighbours, in the order of its layer, never overlapping."""
    for row in rows:
        _side_by_side(row.cells, 0.0, gap)
    for sweep in range(_SWEEPS * 2):
        downward = sweep % 2 == 0
        for row in rows if downward else rows[::-1]:
            _settle(row.cells, downward, gap)
    cells = [cell for row in rows for cell in row.cells]
    left = min(cell.x - cell.width / 2 for cell in cells)
    for cell in cells:
        cell.x -= left


def _side_by_side(cells: Sequence[_Cell], left: float, gap: float) -> None:
    for cell in cells:
        cell.x = left + cell.width / 2
        left += cell.width + gap


def _settle(cells: Sequence[_Cell], downward: bool, gap: float) -> None:
    """Least squares on a line with fixed order: cells that would meet move together to their common middle."""
    # A block is wished-for left edge, members, width.
    blocks: list[tuple[float, list[_Cell], float]] = []
    for cell in cells:
        near = (cell.above or cell.below) if downward else (cell.below or cell.above)
        wish = sum(other.x for other in near) / len(near) if near else cell.x
        block = (wish - cell.width / 2, [cell], cell.width)
        while blocks and blocks[-1][0] + blocks[-1][2] + gap > block[0]:
            left, members, width = blocks.pop()
            shifted = block[0] - width - gap
            middle = (left * len(members) + shifted * len(block[1])) / (len(members) + len(block[1]))
            block = (middle, members + block[1], width + gap + block[2])
        blocks.append(block)
    for left, members, _ in blocks:
        _side_by_side(members, left, gap)


def _route(source: Key, goal: Key, chain: Sequence[_Cell], rows: Sequence[_Row], turned: bool) -> Route[Key]:
    """The points of an arrow: it touches boxes side by side with the others, and goes straight past a layer."""
    top, *between, foot = chain
    upper, lower = rows[top.layer].place(top), rows[foot.layer].place(foot)
    start, end = _port(upper, top.below, chain[1]), _port(lower, foot.above, chain[-2])
    points = [(start, upper.top + upper.height), (start, rows[top.layer].foot)]
    for cell in between:
        points += [(cell.x, rows[cell.layer].top), (cell.x, rows[cell.layer].foot)]
    points += [(end, rows[foot.layer].top), (end, lower.top)]
    label = rows[between[0].layer].place(between[0])
    return Route(source, goal, tuple(points[::-1] if turned else points), label, turned)


def _port(placed: PlacedBox, beside: Sequence[_Cell], next_to: _Cell) -> float:
    """Where an arrow touches a box: all on one side are spread evenly, in the order of where they come from."""
    nth = sorted(beside, key=lambda cell: cell.x).index(next_to)
    return placed.left + placed.width * (nth + 1) / (len(beside) + 1)

"""Boxes in layers with arrows between them: circles opened, longest paths, few crossings, places without overlap."""

from __future__ import annotations

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

    @property
    def middle(self) -> float:
        """The middle from left to right."""
        return self.left + self.width / 2


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


@dataclass
class _Cell:
    """One thing in a layer: a box, a label, or a bend of a long arrow."""

    width: float
    height: float
    layer: int
    above: list[int] = field(default_factory=list)
    below: list[int] = field(default_factory=list)
    x: float = 0.0


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
    cells = [_Cell(*sizes[key], layer[key]) for key in keys]
    index = {key: place for place, key in enumerate(keys)}
    chains = [
        _chain(cells, index[top], index[foot], size) for (top, foot), (_, _, size) in zip(down, links, strict=True)
    ]
    rows = _ordered(cells)
    _place(cells, rows, gap)
    tops = _tops(cells, rows, between)
    boxes = {key: _placed(cells[index[key]], tops, rows, cells) for key in keys}
    routes = tuple(
        _route(source, goal, chain, cells, tops, rows, turn)
        for (source, goal, _), chain, turn in zip(links, chains, turned, strict=True)
    )
    width = max(cell.x + cell.width / 2 for cell in cells)
    foot = max(tops[number] + _height(row, cells) for number, row in enumerate(rows))
    return Layout(boxes, routes, width, foot)


def _against(keys: Sequence[Key], links: Sequence[tuple[Key, Key]]) -> list[bool]:
    """Which links must be turned round so that no circle is left: those that lead back on a walk from the beginning."""
    goals: dict[Key, list[int]] = {key: [] for key in keys}
    for number, (source, _) in enumerate(links):
        goals[source].append(number)
    turned = [False] * len(links)
    state: dict[Key, int] = dict.fromkeys(keys, 0)
    for root in keys:
        stack: list[tuple[Key, int]] = [(root, 0)] if state[root] == 0 else []
        while stack:
            key, nth = stack.pop()
            state[key] = 1
            if nth == len(goals[key]):
                state[key] = 2
                continue
            stack.append((key, nth + 1))
            goal = links[goals[key][nth]][1]
            if state[goal] == 1:
                turned[goals[key][nth]] = True
            elif state[goal] == 0:
                stack.append((goal, 0))
    return turned


def _layers(keys: Sequence[Key], links: Sequence[tuple[Key, Key]]) -> dict[Key, int]:
    """The layer of each box: twice the longest way to it, so that a layer is left for labels below each."""
    layer = dict.fromkeys(keys, 0)
    for _ in keys:
        for source, goal in links:
            layer[goal] = max(layer[goal], layer[source] + 2)
    return layer


def _chain(cells: list[_Cell], top: int, foot: int, label: tuple[float, float]) -> list[int]:
    """The cells that an arrow passes: its label right below the upper box, then a bend in every layer."""
    chain = [top]
    for layer in range(cells[top].layer + 1, cells[foot].layer):
        size = label if len(chain) == 1 else (_BEND_WIDTH, 0.0)
        cells.append(_Cell(*size, layer))
        chain.append(len(cells) - 1)
    chain.append(foot)
    for upper, lower in itertools.pairwise(chain):
        cells[upper].below.append(lower)
        cells[lower].above.append(upper)
    return chain


def _ordered(cells: Sequence[_Cell]) -> list[list[int]]:
    """The layers from left to right, each sorted by the middle of what it hangs on; the best of some sweeps."""
    rows: list[list[int]] = [[] for _ in range(max(cell.layer for cell in cells) + 1)]
    for number, cell in enumerate(cells):
        rows[cell.layer].append(number)
    best, fewest = [list(row) for row in rows], _crossings(cells, rows)
    for sweep in range(_SWEEPS):
        downward = sweep % 2 == 0
        for row in rows if downward else rows[::-1]:
            place = {number: nth for other in rows for nth, number in enumerate(other)}
            row.sort(key=lambda n: _barycentre(cells[n].above if downward else cells[n].below, place, place[n]))
        found = _crossings(cells, rows)
        if found < fewest:
            best, fewest = [list(row) for row in rows], found
    return best


def _barycentre(neighbours: Sequence[int], place: Mapping[int, int], own: int) -> float:
    return sum(place[n] for n in neighbours) / len(neighbours) if neighbours else float(own)


def _crossings(cells: Sequence[_Cell], rows: Sequence[Sequence[int]]) -> int:
    count = 0
    place = {number: nth for row in rows for nth, number in enumerate(row)}
    for row in rows:
        ends = [place[low] for number in row for low in sorted(cells[number].below, key=lambda n: place[n])]
        count += sum(later < end for nth, end in enumerate(ends) for later in ends[nth + 1 :])
    return count


def _place(cells: Sequence[_Cell], rows: Sequence[Sequence[int]], gap: float) -> None:
    """Give every cell its x: near the middle of its neighbours, in the order of its layer, never overlapping."""
    for row in rows:
        x = 0.0
        for number in row:
            cells[number].x = x + cells[number].width / 2
            x += cells[number].width + gap
    for sweep in range(_SWEEPS * 2):
        downward = sweep % 2 == 0
        for row in rows if downward else rows[::-1]:
            _settle(cells, row, downward, gap)
    left = min(cell.x - cell.width / 2 for cell in cells)
    for cell in cells:
        cell.x -= left


def _settle(cells: Sequence[_Cell], row: Sequence[int], downward: bool, gap: float) -> None:
    """Least squares on a line with fixed order: cells that would meet move together to their common middle."""
    blocks: list[tuple[float, list[int], float]] = []
    for number in row:
        cell = cells[number]
        near = (cell.above or cell.below) if downward else (cell.below or cell.above)
        wish = sum(cells[n].x for n in near) / len(near) if near else cell.x
        # A block is wished-for left edge, members, width.
        block = (wish - cell.width / 2, [number], cell.width)
        while blocks and blocks[-1][0] + blocks[-1][2] + gap > block[0]:
            left, members, width = blocks.pop()
            total = len(members) + len(block[1])
            shifted = block[0] - width - gap
            block = (
                (left * len(members) + shifted * len(block[1])) / total,
                members + block[1],
                width + gap + block[2],
            )
        blocks.append(block)
    for left, members, _ in blocks:
        x = left
        for number in members:
            cells[number].x = x + cells[number].width / 2
            x += cells[number].width + gap


def _height(row: Sequence[int], cells: Sequence[_Cell]) -> float:
    return max((cells[number].height for number in row), default=0.0)


def _tops(cells: Sequence[_Cell], rows: Sequence[Sequence[int]], between: float) -> list[float]:
    tops, y = [], 0.0
    for row in rows:
        tops.append(y)
        y += _height(row, cells) + between
    return tops


def _placed(cell: _Cell, tops: Sequence[float], rows: Sequence[Sequence[int]], cells: Sequence[_Cell]) -> PlacedBox:
    spare = _height(rows[cell.layer], cells) - cell.height
    return PlacedBox(cell.x - cell.width / 2, tops[cell.layer] + spare / 2, cell.width, cell.height)


def _route(
    source: Key,
    goal: Key,
    chain: Sequence[int],
    cells: Sequence[_Cell],
    tops: Sequence[float],
    rows: Sequence[Sequence[int]],
    turned: bool,
) -> Route[Key]:
    """The points of an arrow: it touches boxes side by side with the others, and goes straight past a layer."""
    top, foot = cells[chain[0]], cells[chain[-1]]
    upper, lower = _placed(top, tops, rows, cells), _placed(foot, tops, rows, cells)
    points = [(_port(cells, chain[0], chain[1], upper, below=True), upper.top + upper.height)]
    band = tops[top.layer] + _height(rows[top.layer], cells)
    points.append((points[0][0], band))
    for number in chain[1:-1]:
        layer = cells[number].layer
        points += [(cells[number].x, tops[layer]), (cells[number].x, tops[layer] + _height(rows[layer], cells))]
    x = _port(cells, chain[-1], chain[-2], lower, below=False)
    points += [(x, tops[foot.layer]), (x, lower.top)]
    label = _placed(cells[chain[1]], tops, rows, cells)
    return Route(source, goal, tuple(points[::-1] if turned else points), label, turned)


def _port(cells: Sequence[_Cell], box: int, next_to: int, placed: PlacedBox, below: bool) -> float:
    """Where an arrow touches a box: all on one side are spread evenly, in the order of where they come from."""
    near = sorted(cells[box].below if below else cells[box].above, key=lambda n: cells[n].x)
    nth = near.index(next_to)
    return placed.left + placed.width * (nth + 1) / (len(near) + 1)

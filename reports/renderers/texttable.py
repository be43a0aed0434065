"""Tables in columns of plain text, or row by row below each other where the paper is too narrow for them."""

from __future__ import annotations

from collections.abc import Sequence

from reports.document import Table
from reports.text_layout import columns, longest_word, wrapped

_GAP = "  "
_READABLE = 14
"""A column of running text that must be narrower than this is hard to read: judgement."""


def table_lines(table: Table, width: int) -> list[str]:
    """The lines of a table, none wider than `width` columns."""
    rows = [table.columns, *table.rows]
    natural = [max(columns(row[place]) for row in rows) for place in range(len(table.columns))]
    least = [
        min(natural[place], max(_READABLE, *(longest_word(row[place]) for row in rows)))
        for place in range(len(table.columns))
    ]
    room = width - len(_GAP) * (len(natural) - 1)
    if sum(least) > room:
        return _stacked(table, width)
    widths = _fitted(natural, least, room)
    rule = _GAP.join("-" * wide for wide in widths)
    return [
        *_row(table.columns, widths, table.right),
        rule,
        *(line for row in table.rows for line in _row(row, widths, table.right)),
    ]


def _fitted(natural: Sequence[int], least: Sequence[int], room: int) -> list[int]:
    """Widths within the room: what is too much is taken, column by column, from the widest that can still give."""
    widths = [min(wide, small + room) for wide, small in zip(natural, least, strict=True)]
    for _ in range(sum(widths) - room):
        place = max((p for p in range(len(widths)) if widths[p] > least[p]), key=lambda p: widths[p])
        widths[place] -= 1
    return widths


def _row(cells: Sequence[str], widths: Sequence[int], right: Sequence[int]) -> list[str]:
    """One row of a table, as many lines high as its highest cell."""
    parts = [wrapped(cell, width=wide).split("\n") for cell, wide in zip(cells, widths, strict=True)]
    lines = []
    for number in range(max(map(len, parts))):
        shown = []
        for place, (part, wide) in enumerate(zip(parts, widths, strict=True)):
            text = part[number] if number < len(part) else ""
            space = " " * (wide - columns(text))
            shown.append(f"{space}{text}" if place in right else f"{text}{space}")
        lines.append(_GAP.join(shown).rstrip())
    return lines


def _stacked(table: Table, width: int) -> list[str]:
    """Each row as its first cell, and below it the others behind the names of their columns."""
    lines = []
    for row in table.rows:
        lines += wrapped(row[0], "- ", width=width).split("\n")
        for name, cell in zip(table.columns[1:], row[1:], strict=True):
            lines += wrapped(f"{name}: {cell}" if name else cell, "  ", "    ", width).split("\n") if cell else []
    return lines

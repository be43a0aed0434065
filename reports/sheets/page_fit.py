"""How much room blocks take on a page that is set close, in lines, reckoned from their letters alone."""

from __future__ import annotations

import math
from collections.abc import Sequence

from reports.document import Block, CautionBox, Heading, Items, Paragraph, Table

PAGE_LINES = 58.0
"""Lines that blocks may take of one page of A4 or letter paper, in letters of 9 points; the tests count real pages."""
_LINE, _LEAD, _CELL = 106, 96, 62
"""Letters of a line: of plain text, of a main sentence, of the wide column of a table."""
_BESIDE = 44
"""Letters of a heading from which on it stands above its section."""


def lines_taken(blocks: Sequence[Block]) -> float:
    """The lines that these blocks take, with the air between them; those that no handout has count as none."""
    return sum(map(_lines, blocks))


def _lines(block: Block) -> float:
    match block:
        case Heading(text):  # It stands beside its section, if it is not too long; its rule and the air take room.
            return 1.7 if len(text) > _BESIDE else 0.7
        case CautionBox(_, _, text):
            return _wrapped(text) + 0.65
        case Paragraph(text, kind):
            return _wrapped(text, _LEAD if kind == "lead" else _LINE) + 0.2
        case Items(items):
            return 0.15 + sum(_wrapped(text) + _wrapped(aside) + 0.1 for text, aside in items)
        case Table(_, rows):
            return 1.2 + sum(max(_wrapped(cell, _CELL) for cell in row) + 0.2 for row in rows)
        case _:
            return 0.0


def _wrapped(text: str, letters: int = _LINE) -> int:
    return math.ceil(len(text) / letters)

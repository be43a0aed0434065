"""How much room texts take on printed pages, reckoned from their letters alone: the one place that counts them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass

from reports.document import Block, CautionBox, Document, Heading, Items, Paragraph, Table

PAGE_LINES = 58.0
"""Lines that blocks may take of one page of A4 or letter paper, in letters of 9 points; the tests count real pages."""
_LINE, _LEAD, _CELL = 106, 96, 62
"""Letters of a line: of plain text, of a main sentence, of the wide column of a table."""
_BESIDE = 44
"""Letters of a heading from which on it stands above its section."""
_AIRY = 1900
"""Letters that go on one page with room around them: judgement, held by the tests that count pages."""
_LARGEST_PT, _SMALLEST_PT = 9.5, 6.5
_UNSAID = frozenset({"svg", "caution", "signal", "kind", "mark"})
"""Fields of blocks that are not printed as letters."""


def fits_one_page(blocks: Sequence[Block]) -> bool:
    """Whether these blocks go on one page that is set close."""
    return lines_taken(blocks) <= PAGE_LINES


def close_set(document: Document) -> bool:
    """Whether a paper is set close in print, to stay on one page: the customer's is, where there is much on it."""
    return document.audience == "customer" and sum(map(len, _texts(document.blocks))) > _AIRY


def letter_size(blocks: Sequence[Block], room: float) -> float:
    """The size of the letters, in points, at which blocks fill one page.

    Args:
        blocks: what stands on the page.
        room: letters that the page holds, times the square of their size in points.

    Returns: 6.5 to 9.5 points.
    """
    # Each entry ends in a line that is half full, on average some thirty letters.
    count = sum(len(text) + 30 for text in _texts(tuple(blocks)) if text)
    return round(min(max(math.sqrt(room / max(count, 1)), _SMALLEST_PT), _LARGEST_PT), 1)


def lines_taken(blocks: Sequence[Block]) -> float:
    """The lines that these blocks take, with the air between them; those that no handout has count as none."""
    return sum(map(_lines, blocks))


def _texts(value: object) -> Iterator[str]:
    """Every text of a record, all the way down."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for part in value:
            yield from _texts(part)
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            if field.name not in _UNSAID:
                yield from _texts(getattr(value, field.name))


def _lines(block: Block) -> float:
    match block:
        case Heading(text):  # It stands beside its section, if it is not too long; its rule and the air take room.
            return 1.7 if len(text) > _BESIDE else 0.7
        case CautionBox(_, _, text):
            return _wrapped(text) + 0.65
        case Paragraph(text, kind):
            return _wrapped(text, _LEAD if kind == "lead" else _LINE) + 0.2
        case Items(items=items):
            return 0.15 + sum(_wrapped(text) + _wrapped(aside) + 0.1 for text, aside in items)
        case Table(_, rows):
            return 1.2 + sum(max(_wrapped(cell, _CELL) for cell in row) + 0.2 for row in rows)
        case _:
            return 0.0


def _wrapped(text: str, letters: int = _LINE) -> int:
    return math.ceil(len(text) / letters)

"""How much room texts take on printed pages, reckoned from their letters alone: the one place that counts them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass

from reports.document import (
    Blanks,
    Block,
    CautionBox,
    Document,
    Heading,
    Items,
    NewPage,
    Pairs,
    Paragraph,
    Picture,
    Table,
    Work,
)
from reports.text_layout import WIDTH, columns, wrapped

_LINE, _LEAD, _CELL = 106, 96, 62
"""Letters of a line: of plain text, of a main sentence, of the wide column of a table."""
_STEP = 90
"""Letters of a line of a step, which stands further in."""
_LINES_OF_A_UNIT = 0.057
"""Lines that a unit of a picture's height takes, drawn 102 mm wide for 400 units."""
TWO_ROOMY = 103.0
TWO_CLOSE = 142.0
"""Lines that two pages hold, set with room and set close: of 57 sheets set in both ways, the longest one on two pages
with room had 109; of the longest of all, set close on Letter, 144 lines took a third page."""
_BESIDE = 44
"""Letters of a heading from which on it stands above its section."""
_AIRY = 1900
"""Letters that go on one page with room around them: judgement, held by the tests that count pages."""
_SCREEN = 16
"""Lines of a screen between head and foot."""
_VIEW = re.compile(r'viewBox="0 0 ([0-9.]+) ([0-9.]+)"')
_BEGIN = 0.2
"""So much of a page must be left below a drawing for the checklist to begin there."""
_LARGEST_PT, _SMALLEST_PT = 9.5, 6.5
_UNSAID = frozenset({"svg", "caution", "signal", "kind", "mark"})
"""Fields of blocks that are not printed as letters."""


def fits_a_screen(blocks: Sequence[Block]) -> bool:
    """Whether these blocks go on a screen of 24 lines of 80 columns with head and foot, as the text form sets them."""
    return sum(map(_screen_lines, blocks)) <= _SCREEN


def close_set(document: Document) -> bool:
    """Whether a paper is set close in print: the customer's to stay on one page, the technician's on two."""
    if document.audience == "technician":
        return lines_taken(front(document)) > TWO_ROOMY
    return document.audience == "customer" and sum(map(len, _texts(document.blocks))) > _AIRY


def front(document: Document) -> tuple[Block, ...]:
    """The blocks of a paper before its annex, which begins a page of its own."""
    blocks = document.blocks
    turn = next((nth for nth, block in enumerate(blocks) if isinstance(block, NewPage)), len(blocks))
    return blocks[:turn]


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
    """The lines that these blocks take, with the air between them."""
    return sum(map(_lines, blocks))


def drawing_heights(blocks: Sequence[Block], width: float, most: float) -> list[float]:
    """The heights of the drawings among blocks, in millimetres, each set `width` wide or `most` high, the smaller."""
    views = [_VIEW.search(block.svg) for block in blocks if isinstance(block, Picture)]
    return [min(width * float(view[2]) / float(view[1]), most) for view in views if view is not None]


def free_below(heights: Sequence[float], most: float) -> float:
    """The share of a page, 0 to 1, that the last of some drawings, a page each, leaves below it.

    None below the only one, where the head of the paper stands too, and none that is too little to begin in.
    """
    left = 1.0 - heights[-1] / most if len(heights) > 1 else 0.0
    return left if left >= _BEGIN else 0.0


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


def _screen_lines(block: Block) -> int:
    """Lines of a terminal that a block takes, with the empty line above those that stand apart."""
    match block:
        case Paragraph(text):
            return _rows(text, WIDTH)
        case Items(items):
            return sum(_rows(text, WIDTH - 4) + (_rows(aside, WIDTH - 6) if aside else 0) for text, aside in items)
        case Pairs(pairs):
            at = max(columns(label) for label, _ in pairs) + 3
            return 1 + sum(_rows(value, WIDTH - at) for _, value in pairs)
        case CautionBox(_, _, text):
            return 2 + _rows(f"{block.word}  {text}", WIDTH - 4)
        case _:
            return 0


def _rows(text: str, width: int) -> int:
    return wrapped(text, width=width).count("\n") + 1


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
        case Pairs(pairs):
            return 0.3 + sum(_wrapped(value, _CELL) + 0.2 for _, value in pairs)
        case Work(_, _, about, steps, done_when, _):
            inside = sum(_wrapped(text, _STEP) + 0.1 for text in (*about, *steps))
            return 2.0 + inside + (_wrapped(done_when, _STEP) + 0.4 if done_when else 0.0)
        case Picture(_, svg, _):
            return 1.5 + _LINES_OF_A_UNIT * float(svg.partition('viewBox="0 0 ')[2].partition('"')[0].partition(" ")[2])
        case Blanks(blanks):
            return 0.5 + 1.7 * _wrapped(" " * sum(len(label) + wide + 6 for label, wide, _ in blanks), _CELL)
        case _:
            return 0.0


def _wrapped(text: str, letters: int = _LINE) -> int:
    return math.ceil(len(text) / letters)

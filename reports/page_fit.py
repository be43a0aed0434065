"""How much room texts take on printed pages, reckoned from their letters alone: the one place that counts them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass

from reports.document import Block, Document

_AIRY = 1900
"""Letters that go on one page with room around them: judgement, held by the tests that count pages."""
_LARGEST_PT, _SMALLEST_PT = 9.5, 6.5
_UNSAID = frozenset({"svg", "caution", "signal", "kind", "mark"})
"""Fields of blocks that are not printed as letters."""


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

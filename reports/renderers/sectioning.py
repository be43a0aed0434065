"""The blocks of a document by the headings they stand under, for forms that lay out a section as a whole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from reports.document import Block, CautionBox, Document, Heading, NewPage

_AIRY = 2000
"""Letters that go on one page with room around them: judgement, held by the tests that count pages."""


@dataclass(frozen=True)
class Section:
    """What stands under one heading of level 2; `heading` is None for what stands before the first."""

    heading: str | None
    blocks: tuple[Block, ...]

    @property
    def warns(self) -> bool:
        """Whether there is nothing but cautions in it."""
        return bool(self.blocks) and all(isinstance(block, CautionBox) for block in self.blocks)


def close_set(document: Document) -> bool:
    """Whether a paper is set close in print, to stay on one page: the customer's is, where there is much on it."""
    return document.audience == "customer" and _letters(document.blocks) > _AIRY


def sections(document: Document) -> Iterator[Section]:
    """The document's sections in order; a new page at its very end would be empty, and is left out."""
    blocks = list(document.blocks)
    while blocks and isinstance(blocks[-1], NewPage):
        blocks.pop()
    heading: str | None = None
    inside: list[Block] = []
    for block in blocks:
        if isinstance(block, Heading) and block.level == 2:
            if inside or heading is not None:
                yield Section(heading, tuple(inside))
            heading, inside = block.text, []
        else:
            inside.append(block)
    if inside or heading is not None:
        yield Section(heading, tuple(inside))


def _letters(value: Any) -> int:
    """The letters of every text in a record, all the way down."""
    if isinstance(value, str):
        return len(value)
    if is_dataclass(value) and not isinstance(value, type):
        return sum(_letters(getattr(value, field.name)) for field in fields(value) if field.name != "svg")
    return sum(map(_letters, value)) if isinstance(value, tuple) else 0

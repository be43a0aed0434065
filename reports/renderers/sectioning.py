"""The blocks of a document by the headings they stand under, for forms that lay out a section as a whole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from reports.document import Block, CautionBox, Document, Heading, NewPage


@dataclass(frozen=True)
class Section:
    """What stands under one heading of level 2; `heading` is None for what stands before the first."""

    heading: str | None
    blocks: tuple[Block, ...]

    @property
    def warns(self) -> bool:
        """Whether there is nothing but cautions in it."""
        return bool(self.blocks) and all(isinstance(block, CautionBox) for block in self.blocks)


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


def two_sides(document: Document) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    """The blocks of a card's first side, and of its second after the new page."""
    blocks = document.blocks
    turn = next((nth for nth, block in enumerate(blocks) if isinstance(block, NewPage)), len(blocks))
    return blocks[:turn], blocks[turn + 1 :]

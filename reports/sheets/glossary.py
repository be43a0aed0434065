"""The trade words that stand on a page, with what each means, so that no page needs another one to be read."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from engine.foundation.texts import said
from reports.document import Block, CautionBox, Heading, Items, Pairs, Paragraph, Table


def words_explained(blocks: Sequence[Block]) -> tuple[tuple[str, str], ...]:
    """The trade words that really stand in these blocks, each with its meaning, in the order of the glossary."""
    text = "\n".join(words_of(blocks))
    meanings = said("handout.glossary.means")
    found = []
    for name, forms in said("handout.glossary.forms").items():
        words = [form.strip() for form in forms.split(",")]
        pattern = "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))
        if re.search(rf"(?<!\w)(?:{pattern})(?!\w)", text, re.IGNORECASE):
            found.append((words[0], meanings[name]))
    return tuple(found)


def words_of(blocks: Sequence[Block]) -> Iterator[str]:
    """Every text of these blocks, a heading, an item or a cell of a table each."""
    for block in blocks:
        match block:
            case Heading(text) | Paragraph(text) | CautionBox(_, _, text):
                yield text
            case Items(items):
                yield from (text for item in items for text in item if text)
            case Pairs(pairs):
                yield from (text for pair in pairs for text in pair)
            case Table(columns, rows):
                yield from columns
                yield from (cell for row in rows for cell in row)
            case _:
                continue


def word_count(blocks: Sequence[Block]) -> int:
    """How many words these blocks print."""
    return sum(len(text.split()) for text in words_of(blocks))

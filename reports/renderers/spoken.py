"""A sheet to be read aloud: each thing said in one line, without boxes, rules, columns, or marks to look at."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import singledispatch

from engine.foundation.texts import say
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
from reports.renderers.plainly import plainly

_BLANK = re.compile(r"_{3,}")


def spoken_form(documents: Sequence[Document]) -> str:
    """Documents as lines for a screen reader, which reads line by line; an empty line stands before each heading.

    A line is as long as what it says: whatever shows it breaks it where it must.
    """
    return "\n\n".join("\n".join(_document(plainly(document))) for document in documents) + "\n"


def _document(document: Document) -> Iterator[str]:
    head = document.letterhead
    job = say("forms.job", job=document.job) if document.job else ""
    yield "; ".join(part for part in (document.title, job, document.date) if part)
    yield "; ".join((document.shop, *head.below_the_name()))
    opened = say("pages.spoken.open")
    for block in document.blocks:
        yield from (_BLANK.sub(opened, line) for line in _lines(block) if line)
    yield ""
    yield document.foot
    if head.closing:
        yield head.closing


@singledispatch
def _lines(block: Block) -> Iterator[str]:
    """The lines of one block."""
    raise TypeError(f"a spoken form cannot say {type(block).__name__}")


@_lines.register
def _(block: Heading) -> Iterator[str]:
    yield "\n" + _ended(block.text)


@_lines.register
def _(block: Paragraph) -> Iterator[str]:
    yield block.text


@_lines.register
def _(block: Items) -> Iterator[str]:
    for number, (text, aside) in enumerate(block.items, start=block.first):
        told = f"{_ended(text)} {aside}" if aside else text
        yield say("pages.spoken.step", number=number, what=told) if block.mark == "number" else told


@_lines.register
def _(block: Pairs) -> Iterator[str]:
    yield from (_pair(label, value) for label, value in block.pairs)


@_lines.register
def _(block: Table) -> Iterator[str]:
    """Each row by itself, every cell behind the name of its column."""
    for row in block.rows:
        cells = zip(block.columns, row, strict=True)
        yield _ended("; ".join(_pair(name, cell) for name, cell in cells if cell))


@_lines.register
def _(block: CautionBox) -> Iterator[str]:
    yield f"{block.word}: {block.text}"


@_lines.register
def _(block: Work) -> Iterator[str]:
    yield say("pages.spoken.work", number=block.number, what=_ended(block.title))
    yield from block.about
    for number, step in enumerate(block.steps, start=1):
        yield say("pages.spoken.step", number=number, what=step)
    yield block.done_when


@_lines.register
def _(block: Picture) -> Iterator[str]:
    yield _ended(block.title)
    yield from block.words


@_lines.register
def _(block: Blanks) -> Iterator[str]:
    for label, _, unit in block.blanks:
        what = " ".join(part for part in (label.rstrip(":"), f"({unit})" if unit else "") if part)
        yield say("pages.spoken.blank", what=what)


@_lines.register
def _(_: NewPage) -> Iterator[str]:
    yield from ()


def _pair(label: str, value: str) -> str:
    return f"{label.rstrip(':')}: {value}" if label and not label.endswith("?") else f"{label} {value}".strip()


def _ended(text: str) -> str:
    """A text that the voice ends before the next one begins."""
    return text if text.endswith((".", "?", "!", ":")) else f"{text}."

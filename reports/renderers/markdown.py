"""Documents as Markdown (CommonMark, and the tables of GFM), for a note or a message; every text in it stays text."""

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

_MEANING = re.compile(r"[\\`*_\[\]<>&|~#{}$@^]|:(?=//)|(?<=www)\.")
"""What means something inside a line in CommonMark, or in the dialects that add tables, sums and bare links to it."""
_BEGINNING = re.compile(r"^(?:[-+=]|\d+[.)](?= |$))")
"""What makes a list, a rule or an underlined heading of a line that begins with it."""

_LISTS = (Items, Pairs, Picture, Blanks)
"""Blocks printed as lists; two of them would grow together, and count on, without something between them."""


def escaped(text: str) -> str:
    r"""A text that stays what it is: before each character that could mean something stands a backslash.

    Source: CommonMark 0.31, "Backslash escapes": any ASCII punctuation character may be escaped (from memory).
    """
    whole = _MEANING.sub(lambda found: f"\\{found[0]}", text)
    return _BEGINNING.sub(lambda found: f"{found[0][:-1]}\\{found[0][-1]}", whole)


def markdown_form(documents: Sequence[Document]) -> str:
    """Documents as Markdown, one after the other with a rule between them.

    A table is one as GitHub Flavored Markdown has them; drawings stand in their words.
    """
    return "\n---\n\n".join("\n\n".join(_paper(plainly(document))) + "\n" for document in documents)


def _paper(document: Document) -> Iterator[str]:
    yield f"# {escaped(document.title)}".strip()
    job = say("pages.job", job=document.job) if document.job else ""
    yield " · ".join(escaped(part) for part in (document.shop, document.date, job) if part)
    if below := document.letterhead.below_the_name():
        yield " · ".join(map(escaped, below))
    yield _leaning(say(f"pages.audience.{document.audience}"))
    within, before = False, None
    for block in document.blocks:
        if isinstance(before, _LISTS) and isinstance(block, _LISTS):
            yield "<!-- -->"
        yield from _printed(block, within)
        within = within or (isinstance(block, Heading) and block.level == 2)
        before = block
    if document.foot:
        yield from ("---", _leaning(document.foot))
    if closing := document.letterhead.closing:
        yield escaped(closing)


def _printed(block: Block, within: bool) -> Iterator[str]:
    """The block, where there is anything in it; `within` tells that a heading of level 2 stands above."""
    level = "###" if within else "##"
    if isinstance(block, Heading):
        yield f"{'##' if block.level == 2 else level} {escaped(block.text)}".strip()
    elif isinstance(block, Work):
        yield _work(block, level)
    elif text := _markdown(block):
        yield text


@singledispatch
def _markdown(block: Block) -> str:
    """One block, without empty lines around it."""
    raise TypeError(f"Markdown cannot print {type(block).__name__}")


@_markdown.register
def _(block: Paragraph) -> str:
    style = {"lead": _bold, "small": _leaning, "plain": escaped}[block.kind]
    return style(block.text)


@_markdown.register
def _(block: Items) -> str:
    return "\n".join(_item(number, block, *item) for number, item in enumerate(block.items, start=block.first)).rstrip()


def _item(number: int, block: Items, text: str, aside: str) -> str:
    mark = {"point": "- ", "tick": "- [ ] ", "number": f"{number}. "}[block.mark]
    indent = " " * (len(mark) if block.mark == "number" else 2)
    return f"{mark}{escaped(text)}".rstrip() + (f"\n\n{indent}{_leaning(aside)}\n" if aside else "")


@_markdown.register
def _(block: Pairs) -> str:
    return "\n".join(f"- {_bold(label)} {escaped(value)}".rstrip() for label, value in block.pairs)


@_markdown.register
def _(block: Table) -> str:
    """A table of GFM 0.29, section 4.10 (from memory): head, delimiters with the side of each column, rows."""
    sides = ["--:" if place in block.right else "---" for place in range(len(block.columns))]
    heads, *rows = (tuple(escaped(cell) or " " for cell in row) for row in (block.columns, *block.rows))
    return "\n".join(f"| {' | '.join(cells)} |" for cells in (heads, sides, *rows))


@_markdown.register
def _(block: CautionBox) -> str:
    return f"> {_bold(block.word)}\n>\n> {escaped(block.text)}".rstrip()


@_markdown.register
def _(block: Picture) -> str:
    return "\n".join([_bold(block.title), "", *(f"- {escaped(words)}" for words in block.words)]).strip()


@_markdown.register
def _(block: Blanks) -> str:
    shown = (f"- {escaped(label)} {escaped('_' * wide)} {escaped(unit)}" for label, wide, unit in block.blanks)
    return "\n".join(line.rstrip() for line in shown)


@_markdown.register
def _(_: NewPage) -> str:
    return "---"


def _work(block: Work, level: str) -> str:
    """A piece of work with its box in the heading, as a list with boxes where the steps have some."""
    parts = [f"{level} [ ] {block.number}. {escaped(block.title)}".rstrip()]
    if block.about:
        parts.append("\n".join(f"- {escaped(text)}" for text in block.about))
    if block.steps:
        box = "[ ] " if block.ticked else ""
        parts.append("\n".join(f"{number}. {box}{escaped(step)}" for number, step in enumerate(block.steps, start=1)))
    if block.done_when:
        parts.append(_bold(block.done_when))
    return "\n\n".join(parts)


def _bold(text: str) -> str:
    return f"**{escaped(text)}**" if text else ""


def _leaning(text: str) -> str:
    return f"*{escaped(text)}*" if text else ""

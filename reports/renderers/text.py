"""A sheet as plain text, in lines of 80 columns, or of 42 for a printer of receipts."""

from __future__ import annotations

from collections.abc import Sequence
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
from reports.renderers.texttable import table_lines
from reports.text_layout import WIDTH, columns, wrapped

RECEIPT = 42
"""Columns of a common receipt printer: common practice, no source."""
_ASIDE = "      "
"""What stands before the lines of an aside."""
_MARKS = {"point": "- ", "tick": "[ ] ", "number": ""}
_LEAST_BLANK = 6
"""Fewer columns than this cannot be written into: judgement."""
_LEADERS_FROM = 24
"""Where values begin at this column or further right, points lead the eye to them."""
_CLOSE: tuple[type[Block], ...] = (Paragraph, Items)
"""Blocks that stand close together; before and after every other kind there is an empty line, but behind a caution."""


def text_form(documents: Sequence[Document], columns: int = WIDTH) -> str:
    """Documents as plain text, one after the other, with a line between them to cut along.

    Args:
        documents: what is printed.
        columns: the most that a line takes, 24 or more.

    Returns: the text, ending in a line break. A word is parted only where it is longer than a whole line.
    """
    cut = f"\n\n{_dashed(columns)}\n\n"
    return f"{cut.join(_document(plainly(document), columns) for document in documents)}\n"


def _document(document: Document, width: int) -> str:
    rule = "=" * width
    job = say("forms.job", job=document.job) if document.job else ""
    below = " · ".join(document.letterhead.below_the_name())
    head = [*_ends(document.shop, document.date, width), *(_wrapped(below, width) if below else [])]
    lines = [*head, *_ends(document.title, job, width), rule]
    before: Block | None = None
    for block in document.blocks:
        printed = _lines(block, width)
        if before is not None and printed and _apart(before, block):
            lines.append("")
        # Cautions that stand together share an edge, that of the graver one above.
        lines += printed[1:] if isinstance(before, CautionBox) and isinstance(block, CautionBox) else printed
        before = block if printed else before
    closing = document.letterhead.closing
    foot = ["", rule, *_wrapped(document.foot, width), *(_wrapped(closing, width) if closing else [])]
    return "\n".join(line.rstrip() for line in [*lines, *foot])


def _apart(before: Block, block: Block) -> bool:
    """Whether an empty line parts two blocks; a heading keeps to what follows it, and a caution to its step."""
    if isinstance(before, Heading):
        return False
    step = isinstance(block, Items) and block.mark == "number"
    if isinstance(before, CautionBox) and (isinstance(block, CautionBox) or step):
        return False
    small = isinstance(block, Paragraph) and block.kind == "small"
    return small or not (isinstance(before, _CLOSE) and isinstance(block, _CLOSE))


@singledispatch
def _lines(block: Block, _width: int) -> list[str]:
    """The lines of one block."""
    raise TypeError(f"a text form cannot print {type(block).__name__}")


@_lines.register
def _(block: Heading, width: int) -> list[str]:
    return _wrapped(block.text if block.level == 3 else block.text.upper(), width)


@_lines.register
def _(block: Paragraph, width: int) -> list[str]:
    return _wrapped(block.text, width, "  " if block.kind == "small" else "")


@_lines.register
def _(block: Items, width: int) -> list[str]:
    lines = []
    for number, (text, aside) in enumerate(block.items, start=block.first):
        mark = _MARKS[block.mark] or f"{number:2d}. "
        lines += _wrapped(text, width, mark)
        lines += _wrapped(aside, width, " " * (columns(mark) + 2)) if aside else []
    return lines


@_lines.register
def _(block: Pairs, width: int) -> list[str]:
    pairs = [(label if label.endswith((":", "?")) else f"{label}:", value) for label, value in block.pairs]
    longest = max((columns(label) for label, _ in pairs), default=0)
    at = min(longest + 2, width // 2)
    return [line for label, value in pairs for line in _pair(label, value, at, width)]


def _pair(label: str, value: str, at: int, width: int) -> list[str]:
    """A label and a value that is wrapped from a column on; below the label where that is too long."""
    space = at - columns(label)
    if space < 1:
        return [*_wrapped(label, width), *_wrapped(value, width, _ASIDE)]
    filling = f" {'.' * (space - 2)} " if space > 3 and at >= _LEADERS_FROM else " " * space
    return _wrapped(value, width, f"{label}{filling}", " " * at)


@_lines.register
def _(block: Table, width: int) -> list[str]:
    return table_lines(block, width)


@_lines.register
def _(block: CautionBox, width: int) -> list[str]:
    """A box of its own; the gravest has a border of its own too, so that it is told apart without any colour."""
    edge = f"+{('=' if block.signal == 'DANGER' else '-') * (width - 2)}+"
    inside = _wrapped(block.text, width - 4, f"{block.word}  ", "")
    return [edge, *(f"| {line}{' ' * (width - 4 - columns(line))} |" for line in inside), edge]


@_lines.register
def _(block: Work, width: int) -> list[str]:
    lines = _wrapped(block.title, width, f"[ ] {block.number}. ")
    for text in block.about:
        lines += _wrapped(text, width, _ASIDE)
    for number, step in enumerate(block.steps, start=1):
        lines += _wrapped(step, width, f"   [ ] {number:2d}. " if block.ticked else f"   {number:2d}. ")
    return lines + (_wrapped(block.done_when, width, "   ") if block.done_when else [])


@_lines.register
def _(block: Picture, width: int) -> list[str]:
    lines = _wrapped(block.title, width)
    for words in block.words:
        lines += _wrapped(words, width, "  ", "    ")
    return lines


@_lines.register
def _(block: Blanks, width: int) -> list[str]:
    """Blanks side by side as they fit; one that is too wide for the paper is made narrower."""
    lines, line = [], ""
    for label, wide, unit in block.blanks:
        room = width - columns(label) - columns(unit) - 2
        blank = " ".join(part for part in (label, "_" * max(min(wide, room), _LEAST_BLANK), unit) if part)
        if line and columns(line) + 3 + columns(blank) > width:
            lines.append(line)
            line = ""
        if columns(blank) > width:
            lines += _wrapped(blank, width)
        else:
            line = f"{line}   {blank}" if line else blank
    return [*lines, line] if line else lines


@_lines.register
def _(_: NewPage, width: int) -> list[str]:
    return ["=" * width]


def _wrapped(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    return wrapped(text, first, rest, width).split("\n")


def _ends(left: str, right: str, width: int) -> list[str]:
    """Two texts at the two ends of a line, or below each other where they do not fit."""
    space = width - columns(left) - columns(right)
    if right and space < 2:
        return [*_wrapped(left, width), *_wrapped(right, width)]
    return [f"{left}{' ' * space}{right}"] if right else _wrapped(left, width)


def _dashed(width: int) -> str:
    """Where one paper ends and the next begins: a line to cut along."""
    return ("- " * width)[:width].rstrip()

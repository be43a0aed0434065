"""Sections that more than one sheet is composed of, from the lines of a view."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal

from engine.foundation.texts import say
from reports.document import Block, CautionBox, Heading, Items, Mark, NewPage, Paragraph, Picture
from reports.phrases import joined
from reports.sheets.glossary import word_count
from reports.view.model import Amount, CautionLine, JobView

_WORTH_A_PAGE = 150
"""Words from which on a new page is turned for workings: judgement, a third of a page of lists."""


def headed(title: str, *blocks: Block | None, level: Literal[2, 3] = 2) -> tuple[Block, ...]:
    """A section: its heading and its blocks; nothing where there is no block to it."""
    there = tuple(block for block in blocks if block is not None)
    return (Heading(title, level), *there) if there else ()


def listed(texts: Iterable[str], mark: Mark = "point") -> Items | None:
    """A list of plain lines; None where there is none."""
    items = tuple((text, "") for text in texts)
    return Items(items, mark) if items else None


def with_aside(items: Sequence[tuple[str, str]], mark: Mark = "point") -> Items | None:
    """A list of lines with their asides; None where there is none."""
    return Items(tuple(items), mark) if items else None


def behind(title: str, blocks: Sequence[Block]) -> tuple[Block, ...]:
    """What stands behind a sheet, from a new page on where it is worth one; nothing where there is none."""
    drawn = any(isinstance(block, Picture) for block in blocks)
    turned = (NewPage(),) if drawn or word_count(blocks) >= _WORTH_A_PAGE else ()
    return (*turned, Heading(title), *blocks) if blocks else ()


def cautions(lines: Iterable[CautionLine], in_a_line: Sequence[CautionLine] = ()) -> tuple[Block, ...]:
    """Cautions, each in a box of its own, in the order given; below them those that are told in a line."""
    boxes = tuple(CautionBox(line.caution, line.signal, line.text) for line in lines)
    mind = " ".join(line.text for line in in_a_line)
    return (*boxes, Paragraph(say("pages.mind_too", lines=mind), "small")) if mind else boxes


def named_elsewhere(view: JobView) -> list[str]:
    """What is not known beside that which is named as helpful: asked once, told once."""
    named = {line.asked for line in view.would_help}
    return [asked for asked in view.not_known if asked not in named]


def amounts_once(view: JobView) -> list[tuple[str, Amount]]:
    """Every amount on a sheet with a working, by what it is for, each once."""
    found = [(action.title, amount) for action in view.actions for amount in action.amounts]
    found += [(part.name, part.amount) for part in view.parts]
    return [(name, amount) for name, amount in dict.fromkeys(found) if amount.working]


def aside_of(amount: Amount, working: bool = True) -> str:
    """How an amount was worked out, what to mind with it and what is missing for it, as the shop is told.

    Args: `working`, whether it is told how.
    """
    missing = joined(amount.missing, say("shop.head.and"))
    lacks = say("shop.now.missing", missing=missing) if missing else ""
    return " ".join(text for text in (amount.working if working else "", amount.care, lacks) if text)


def minded(amount: Amount) -> str:
    """What is missing for an amount, and what to mind with it."""
    missing = say("technician.work.missing", missing=joined(amount.missing)) if amount.missing else ""
    return " ".join(part for part in (missing, amount.care) if part)

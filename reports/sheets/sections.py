"""Sections that more than one sheet is composed of, from the lines of a view."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from reports.document import Block, Caution, Heading, Items, Mark
from reports.view.model import Amount, CautionLine, JobView

__all__ = ["amounts_once", "cautions", "headed", "listed", "named_elsewhere", "with_aside"]


def headed(title: str, *blocks: Block | None) -> tuple[Block, ...]:
    """A section: its heading and its blocks; nothing where there is no block to it."""
    there = tuple(block for block in blocks if block is not None)
    return (Heading(title), *there) if there else ()


def listed(texts: Iterable[str], mark: Mark = "point") -> Items | None:
    """A list of plain lines; None where there is none."""
    items = tuple((text, "") for text in texts)
    return Items(items, mark) if items else None


def with_aside(items: Sequence[tuple[str, str]], mark: Mark = "point") -> Items | None:
    """A list of lines with their asides; None where there is none."""
    return Items(tuple(items), mark) if items else None


def cautions(lines: Iterable[CautionLine]) -> tuple[Caution, ...]:
    """Cautions, each in a box of its own, in the order given."""
    return tuple(Caution(line.caution, line.signal, line.text) for line in lines)


def named_elsewhere(view: JobView) -> list[str]:
    """What is not known beside that which is named as helpful: asked once, told once."""
    named = {line.asked for line in view.would_help}
    return [asked for asked in view.not_known if asked not in named]


def amounts_once(view: JobView) -> list[tuple[str, Amount]]:
    """Every amount on a sheet with a working, by what it is for, each once."""
    found = [(action.title, amount) for action in view.actions for amount in action.amounts]
    found += [(part.name, part.amount) for part in view.parts]
    return [(name, amount) for name, amount in dict.fromkeys(found) if amount.working]

"""Jobs to compose papers of, and the text of a paper, for the tests of the customer's handout and the shop's sheet."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from engine.knowledge.model import RoleId
from reports.document import Block, Document, Heading, Items, Paragraph, Work
from reports.sheets.glossary import words_of
from reports.view import JobView, job_view
from tests.reports.jobs import DATE, called
from tests.reports.test_golden_sheets import SHEETS
from tests.shipped import visible_calls

CALLS: tuple[tuple[str, RoleId], ...] = tuple(
    (call.name, role) for call in visible_calls() for role in ("counter", "phone")
)
NAMES = [*SHEETS, *(f"{name}, {role}" for name, role in CALLS)]
HANDOUTS = [*SHEETS, *NAMES[len(SHEETS) :: 3]]
"""Those of the shipped jobs whose handouts are set on paper, which takes its time: the kept ones, each third call."""


@cache
def shipped() -> dict[str, JobView]:
    """Every job whose sheet is kept as a file, and every shipped call at the counter and on the phone, by its name."""
    found = {name: job_view(made(), DATE, voice="counter") for name, made in SHEETS.items()}
    return found | {f"{name}, {role}": job_view(called(name, role), DATE) for name, role in CALLS}


def seen(name: str) -> JobView:
    """One of the shipped jobs."""
    return shipped()[name]


def texts(blocks: tuple[Block, ...]) -> Iterator[str]:
    """Every text of these blocks, pieces of work with them."""
    for block in blocks:
        if isinstance(block, Work):
            yield from (block.title, *block.about, *block.steps, block.done_when)
        else:
            yield from words_of((block,))


def page(document: Document) -> str:
    """The whole text of a paper, a line each."""
    return "\n".join(texts(document.blocks))


def numbers(text: str) -> set[str]:
    """The numbers that stand in a text, without the marks of a sentence."""
    found = ("".join(char if char.isdigit() or char in ".," else " " for char in text)).split()
    return {number.strip(".,") for number in found if number.strip(".,")}


def headings(document: Document) -> list[str]:
    """The headings of a paper, in order."""
    return [block.text for block in document.blocks if isinstance(block, Heading)]


def leads(document: Document) -> list[str]:
    """The main sentences of a paper's sections."""
    return [block.text for block in document.blocks if isinstance(block, Paragraph) and block.kind == "lead"]


def ticked(document: Document) -> list[tuple[str, str]]:
    """The items with a box to tick."""
    return [
        item for block in document.blocks if isinstance(block, Items) and block.mark == "tick" for item in block.items
    ]

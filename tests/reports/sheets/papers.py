"""Jobs to compose papers of, and the text of a paper, for the tests of the customer's handout and the shop's sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
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


def of_each(names: Sequence[str]) -> Callable[[Callable[[str], None]], Callable[[], None]]:
    """One test that a law holds for each of these jobs; where it does not, all those that break it are told."""

    def tested(law: Callable[[str], None]) -> Callable[[], None]:
        def test() -> None:
            broken = []
            for name in names:
                try:
                    law(name)
                except AssertionError as error:
                    error.add_note(f"the job: {name}")
                    broken.append(error)
            if broken:
                raise ExceptionGroup(f"{len(broken)} of {len(names)} jobs break the law", broken)

        # Not `wraps`, by which pytest would look for the law's own argument.
        test.__name__, test.__doc__ = law.__name__, law.__doc__
        return test

    return tested


@cache
def seen(name: str) -> JobView:
    """A job whose sheet is kept as a file, or a shipped call at the counter or on the phone."""
    if name in SHEETS:
        return job_view(SHEETS[name](), DATE, voice="counter")
    return job_view(called(*dict(zip(NAMES[len(SHEETS) :], CALLS, strict=True))[name]), DATE)


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

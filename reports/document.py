"""A paper as frozen blocks, before it has a form: what a sheet says, in which order; every form prints these alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from engine.foundation.texts import say
from reports.letterhead import NO_SHOP, Letterhead

Audience = Literal["technician", "customer", "shop"]
AUDIENCES: tuple[Audience, ...] = get_args(Audience)
"""Whom a sheet is for."""
Mark = Literal["point", "number", "tick"]
"""What stands before the items of a list: a point, its number, or a box to tick."""
Paper = Literal["a4", "letter"]
"""What a form with pages is printed on: ISO 216 A4, or the letter paper of North America."""

Layout = Literal["sheet", "card"]
"""How pages are laid out: one column of sections, or a card: a drawing a page, then two columns."""


@dataclass(frozen=True)
class Heading:
    """The heading of a section, level 2 (the title alone is level 1) or, inside one, level 3."""

    text: str
    level: Literal[2, 3] = 2


@dataclass(frozen=True)
class Paragraph:
    """A paragraph: `lead` is the section's main sentence, `small` is an aside such as a working."""

    text: str
    kind: Literal["plain", "lead", "small"] = "plain"


@dataclass(frozen=True)
class Items:
    """A list, each item one line of text, with an aside (may be empty) below it such as the working of an amount.

    `first` is the number of its first item, above 1 where a list goes on behind a caution that parts it.
    """

    items: tuple[tuple[str, str], ...]
    mark: Mark = "point"
    first: int = 1


@dataclass(frozen=True)
class Pairs:
    """Labels with their values, such as the head of a sheet or readings."""

    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Table:
    """A table: the names of its columns, and rows of as many cells. `right` names the columns of figures, from 0."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()


@dataclass(frozen=True)
class CautionBox:
    """A caution in a box of its own: its id, its signal word (DANGER, WARNING, CAUTION: ANSI Z535), its text."""

    caution: str
    signal: str
    text: str

    @property
    def word(self) -> str:
        """The signal word in the language in use."""
        return say(f"pages.signals.{self.signal}")


@dataclass(frozen=True)
class Work:
    """One piece of work with a box to tick: its number, title, what goes for it as a whole, its steps, when it is done.

    `ticked` gives each step a box of its own, for whoever works by the paper.
    """

    number: int
    title: str
    about: tuple[str, ...]
    steps: tuple[str, ...]
    done_when: str
    ticked: bool


@dataclass(frozen=True)
class Picture:
    """A drawing of our own as SVG without script or reference, and the same in words for whoever cannot see it.

    A form that cannot draw prints `words`, a line each, under the title.
    """

    title: str
    svg: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class Blanks:
    """Places to fill in by hand: each a label, how wide the blank is in characters, and the unit behind it."""

    blanks: tuple[tuple[str, int, str], ...]


@dataclass(frozen=True)
class NewPage:
    """What follows begins a new page, where the form has pages."""


Block = Heading | Paragraph | Items | Pairs | Table | CautionBox | Work | Picture | Blanks | NewPage


def kind_of(block: Block) -> str:
    """The kind of a block by its name in small letters, as templates ask for it."""
    return type(block).__name__.lower()


@dataclass(frozen=True)
class Document:
    """A whole paper: who it is for, what stands at its head and foot, and its blocks in order.

    `shop` is the name at its head, `letterhead` what the shop tells beside it.
    """

    audience: Audience
    language: str
    shop: str
    date: str
    job: str
    title: str
    blocks: tuple[Block, ...]
    foot: str
    layout: Layout = "sheet"
    letterhead: Letterhead = NO_SHOP

"""Documents as one page of HTML: nothing outside it is needed, nothing in it runs, and it prints well."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping, Sequence

from engine.foundation.texts import say
from reports.document import Block, Document, Items, Paper, Picture, Work
from reports.letterhead import Letterhead
from reports.page_fit import close_set, drawing_heights, free_below, letter_size
from reports.renderers.environment import markup_environment
from reports.renderers.plainly import plainly
from reports.renderers.sectioning import sections, two_sides

_SIZES: Mapping[Paper, str] = {"a4": "A4", "letter": "letter"}
"""The papers by their names in CSS (Paged Media)."""
_CARD_DRAWING_MM: Mapping[Paper, float] = {"a4": 236.0, "letter": 218.0}
"""What the head of a card's first side leaves for the drawing."""
_CARD_WIDTH_MM: Mapping[Paper, float] = {"a4": 190.0, "letter": 195.0}
_CARD_ROOM: Mapping[Paper, float] = {"a4": 540_000.0, "letter": 520_000.0}
"""Letters that a card's second side holds, times the square of their size in points: measured for a browser's sans
serif."""
_RUNNING = 80
"""Characters of the line at the foot of each printed page; a longer job or shop is cut there, and whole at the head."""


def html_form(documents: Sequence[Document], paper: Paper = "a4", large: bool = False) -> str:
    """Documents as one HTML file for the screen, from 360 pixels up, and for paper.

    Args:
        documents: at least one; the page speaks the language of the first, and each part says its own. A card comes
            alone.
        paper: the size that the page asks the printer for.
        large: letters half as large again on the screen and of 18 points on paper, in one column; a card has one size.

    Returns:
        The whole file as text.

    Raises:
        ValueError: without a document.
    """
    if not documents:
        raise ValueError("a page needs at least one document")
    plain = [plainly(document, unbroken=True) for document in documents]
    if plain[0].layout == "card":
        return _card(plain[0], paper)
    sheets = [_sheet(document, f"sheet-{number}", large) for number, document in enumerate(plain, start=1)]
    ticked = any(_has_box(block) for document in documents for block in document.blocks)
    template = markup_environment().get_template("sheet.html.j2")
    return template.render(sheets=sheets, size=_SIZES[paper], ticked=ticked, large=large)


def _card(document: Document, paper: Paper) -> str:
    first, second = two_sides(document)
    heights = drawing_heights(first, _CARD_WIDTH_MM[paper], _CARD_DRAWING_MM[paper])
    free, height = free_below(heights, _CARD_DRAWING_MM[paper]), iter(heights)
    return (
        markup_environment()
        .get_template("card.html.j2")
        .render(
            document=document,
            second=second,
            size=_SIZES[paper],
            drawings=[(block, next(height) if isinstance(block, Picture) else 0.0) for block in first],
            letters=letter_size(second, _CARD_ROOM[paper] * (1.0 + free)),
            turned=free == 0.0,
        )
    )


def _sheet(document: Document, name: str, large: bool) -> dict[str, object]:
    """A document with what its page adds: an id, who it is for in words, its sections, the foot of printed pages.

    `dense` is printed on one page, close-set, as the customer's handout is.
    """
    running = " · ".join(part for part in (document.shop, document.job, document.date) if part)
    cut = running if len(running) <= _RUNNING else running[: _RUNNING - 1] + "…"
    return {
        "document": document,
        "id": name,
        "picture": _as_address(document.letterhead),
        "below": document.letterhead.below_the_name(),
        "audience": say(f"pages.audience.{document.audience}"),
        "sections": tuple(sections(document)),
        "running": _css_text(cut),
        "dense": close_set(document) and not large,
    }


def _as_address(letterhead: Letterhead) -> str:
    """The shop's picture as a `data:` address, empty without one; what it holds can neither run nor fetch there.

    Source: RFC 2397; SVG Integration (W3C), "secure static mode" of images (from memory).
    """
    if not letterhead.picture:
        return ""
    return f"data:{letterhead.picture_type};base64,{b64encode(letterhead.picture).decode()}"


def _has_box(block: Block) -> bool:
    """Whether the block brings a box to tick."""
    return isinstance(block, Work) or (isinstance(block, Items) and block.mark == "tick")


def _css_text(text: str) -> str:
    """The inside of a text in CSS, each character as its number, so that none means anything there."""
    return "".join(f"\\{ord(char):06x}" for char in text)

"""A card in its forms: a page of HTML and a PDF of two sheets' sides of their own, text and Markdown as any paper."""

from __future__ import annotations

import importlib
import json
import math
from collections.abc import Iterator, Mapping
from importlib.resources import files
from typing import Any

from engine.foundation.texts import say
from reports.document import Block, CautionBox, Document, Heading, Items, NewPage, Paper, Paragraph, Picture
from reports.renderers.environment import markup_environment
from reports.renderers.pdf import PdfNotInstalledError

_CSS_PAPERS: Mapping[Paper, str] = {"a4": "A4", "letter": "letter"}
_TYPST_PAPERS: Mapping[Paper, str] = {"a4": "a4", "letter": "us-letter"}
_DRAWING_MM: Mapping[Paper, float] = {"a4": 244.0, "letter": 226.0}
"""What the head of the first page leaves for the drawing."""
_LARGEST_PT, _SMALLEST_PT = 9.5, 6.5
_PAGE_ROOM: Mapping[Paper, float] = {"a4": 540_000.0, "letter": 520_000.0}
_PRINT_ROOM: Mapping[Paper, float] = {"a4": 680_000.0, "letter": 640_000.0}
"""Letters that the second page holds, times the square of their size in points: as measured, for a browser's sans
serif and for the narrower serif of the PDF."""


def card_html(document: Document, paper: Paper = "a4") -> str:
    """A card as one file of HTML, for the screen and, on two pages, for paper.

    Args:
        document: the card; see `reports.card.document`.
        paper: the size that the page asks the printer for.
    """
    first, second = _pages(document)
    return (
        markup_environment()
        .get_template("card.html.j2")
        .render(
            document=document,
            first=[{"kind": type(block).__name__, "block": block} for block in first],
            second=[{"kind": type(block).__name__, "block": block} for block in second],
            size=_CSS_PAPERS[paper],
            drawing_mm=_DRAWING_MM[paper],
            letters=_letters(second, _PAGE_ROOM[paper]),
        )
    )


def card_pdf(document: Document, paper: Paper = "a4") -> bytes:
    """A card as a PDF of two pages; the same document gives the same bytes.

    Raises:
        PdfNotInstalledError: where the package that sets it is not installed; its text is the offer.
    """
    try:
        typst = importlib.import_module("typst")
    except ImportError:
        raise PdfNotInstalledError(say("pages.no_pdf")) from None
    first, second = _pages(document)
    data = {
        "paper": _TYPST_PAPERS[paper],
        "title": document.title,
        "language": document.language,
        "shop": document.shop,
        "date": document.date,
        "foot": document.foot,
        "drawing": _DRAWING_MM[paper] - 8.0,
        "letters": _letters(second, _PRINT_ROOM[paper]),
        "first": [_plain(block) for block in first],
        "second": [_plain(block) for block in second],
    }
    source = files("reports").joinpath("templates", "card.typ").read_bytes()
    return bytes(typst.compile(source, format="pdf", sys_inputs={"card": json.dumps(data)}, timestamp=0))


def _pages(document: Document) -> tuple[list[Block], list[Block]]:
    """The blocks of the first page and of the second."""
    at = next((nth for nth, block in enumerate(document.blocks) if isinstance(block, NewPage)), len(document.blocks))
    return list(document.blocks[:at]), list(document.blocks[at + 1 :])


def _letters(blocks: list[Block], room: float) -> float:
    """The size of the letters, in points, at which these blocks fill one page."""
    # Each entry ends in a line that is half full, on average some thirty letters.
    count = sum(len(text) + 30 for text in _texts(blocks))
    return round(min(max(math.sqrt(room / max(count, 1)), _SMALLEST_PT), _LARGEST_PT), 1)


def _texts(blocks: list[Block]) -> Iterator[str]:
    for block in blocks:
        if isinstance(block, Items):
            yield from (part for item in block.items for part in item if part)
        elif isinstance(block, Heading | Paragraph | CautionBox):
            yield block.text


def _plain(block: Block) -> dict[str, Any]:
    """A block as plain data for the template."""
    kind = type(block).__name__
    match block:
        case Picture():
            return {"kind": kind, "svg": block.svg, "words": " ".join(block.words)}
        case Items():
            return {"kind": kind, "items": [list(item) for item in block.items]}
        case CautionBox():
            return {"kind": kind, "signal": block.signal, "word": block.word, "text": block.text}
        case Heading() | Paragraph():
            return {"kind": kind, "text": block.text}
        case _:
            raise AssertionError(f"a card holds no {kind}")

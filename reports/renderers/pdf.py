"""Documents as a PDF, set by typst, which is an extra: without it the offer says what to do instead."""

from __future__ import annotations

import importlib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from importlib.resources import files
from typing import Any

from engine.foundation.texts import say
from reports.document import Block, CautionBox, Document, Paper, Picture, kind_of
from reports.letterhead import NO_SHOP
from reports.page_fit import close_set, drawing_heights, free_below, letter_size
from reports.renderers.plainly import plainly
from reports.renderers.sectioning import sections, two_sides

_SIZES: Mapping[Paper, str] = {"a4": "a4", "letter": "us-letter"}
"""The papers by their names in typst."""
_CARD_DRAWING_MM: Mapping[Paper, float] = {"a4": 238.0, "letter": 220.0}
"""What the head of a card's first side leaves for a drawing."""
_CARD_WIDTH_MM: Mapping[Paper, float] = {"a4": 186.0, "letter": 191.0}
_CARD_ROOM: Mapping[Paper, float] = {"a4": 680_000.0, "letter": 640_000.0}
"""Letters that a page of a card's checklist holds, times the square of their size in points: measured for this
narrow serif."""
_LONG = re.compile(r"\S{28}(?=\S)")
"""So many characters without a space find no place to break a line."""
_BREAK = "\u200b"


class PdfNotInstalledError(Exception):
    """A PDF was asked for, and the package that sets it is not installed; its text is the offer, in one line."""


def pdf_form(documents: Sequence[Document], paper: Paper = "a4", large: bool = False) -> bytes:
    """Documents as one PDF with tags for those who have it read aloud; the same documents give the same bytes.

    Args:
        documents: at least one; the file's title and language are the first one's. A card comes alone.
        paper: the size of its pages.
        large: letters of 18 points in one column; a card has one size.

    Returns:
        The whole file.

    Raises:
        PdfNotInstalledError: where typst is not installed.
        ValueError: without a document.
    """
    if not documents:
        raise ValueError("a paper needs at least one document")
    plain = [plainly(document, unbroken=True) for document in documents]
    if plain[0].layout == "card":
        return set_by_typst("card", _card(plain[0], paper))
    papers = [_data(document) for document in plain]
    sheet = {"paper": _SIZES[paper], "name": plain[0].title, "documents": papers, "large": large}
    return set_by_typst("sheet", sheet)


def set_by_typst(template: str, data: Mapping[str, Any]) -> bytes:
    """The paper that a template makes of the data that it knows by its own name.

    Raises: PdfNotInstalledError where typst is not installed.
    """
    try:
        typst = importlib.import_module("typst")
    except ImportError:
        raise PdfNotInstalledError(say("pages.no_pdf")) from None
    source = files("reports").joinpath("templates", f"{template}.typ").read_bytes()
    # The texts go in as data: typst reads them as JSON, and never as a part of the source.
    # Dated 1970, so that the bytes depend on the documents alone; the day of the job stands on the paper.
    made = typst.compile(source, format="pdf", sys_inputs={template: json.dumps(data)}, timestamp=0)
    # "Not suspect" is what a PDF is unless it says so; poppler takes the word itself for a mistake.
    return bytes(made).replace(b"/Suspects false", b" " * len(b"/Suspects false"))


def _card(document: Document, paper: Paper) -> dict[str, Any]:
    first, second = two_sides(document)
    heights = drawing_heights(first, _CARD_WIDTH_MM[paper], _CARD_DRAWING_MM[paper])
    free = free_below(heights, _CARD_DRAWING_MM[paper])
    blocks = [_block(block) for block in first]
    for nth, (data, height) in enumerate(zip((b for b in blocks if b["kind"] == "picture"), heights, strict=True)):
        data |= {"mm": height, "turn": nth > 0}
    return _head(document) | {
        "paper": _SIZES[paper],
        "free": free,
        "letters": letter_size(second, _CARD_ROOM[paper] * (1.0 + free)),
        "first": blocks,
        "second": [_block(block) for block in second],
    }


def _data(document: Document) -> dict[str, Any]:
    """A document as plain data for the template, with the words that the form adds."""
    data = _head(document) | {
        "dense": close_set(document),
        "audience": say(f"pages.audience.{document.audience}"),
        "whose": say("pages.job", job=document.job) if document.job else "",
        "sections": [
            {"heading": section.heading, "warns": section.warns, "blocks": [_block(block) for block in section.blocks]}
            for section in sections(document)
        ],
    }
    broken: dict[str, Any] = breakable(data)
    return broken


def _head(document: Document) -> dict[str, Any]:
    """All of a document but its blocks, with what the shop tells of itself as it is set."""
    letterhead = document.letterhead
    return asdict(replace(document, blocks=(), letterhead=NO_SHOP)) | {
        "letterhead": {
            "below": letterhead.below_the_name(),
            "closing": letterhead.closing,
            # The bytes one by one, as JSON holds none.
            "picture": list(letterhead.picture),
            "format": "png" if letterhead.picture_type == "image/png" else "svg",
        },
    }


def _block(block: Block) -> dict[str, Any]:
    data = {"kind": kind_of(block)} | asdict(block)
    if isinstance(block, Picture):
        data["svg"] = [block.svg]
    if isinstance(block, CautionBox):
        data["word"] = block.word
    return data


def breakable(value: Any, name: str = "") -> Any:
    """The data with a place to break lines inside every long run of characters; drawings stay as they are."""
    if isinstance(value, str):
        return _LONG.sub(lambda run: run[0] + _BREAK, value)
    if isinstance(value, list | tuple):
        return list(value) if name in ("svg", "picture") else [breakable(part) for part in value]
    return {key: breakable(part, key) for key, part in value.items()} if isinstance(value, dict) else value

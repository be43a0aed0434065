"""A label for a cell or a power pack that stays at the shop: whose it is, of which job, since when."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from engine.foundation.plain_text import cleaned
from engine.foundation.texts import language_in_use, say
from reports.letterhead import Letterhead
from reports.renderers.pdf import breakable, set_by_typst

LabelSize = Literal["62mm", "a4", "letter"]
"""What it is printed on: a roll 62 mm wide, a common width of label printers; or a sheet with two to cut out."""
Thing = Literal["cell", "pack"]
_PAPERS: Mapping[LabelSize, str] = {"62mm": "", "a4": "a4", "letter": "us-letter"}


@dataclass(frozen=True)
class Label:
    """What a label says; without a `name` there is a line to write it on, without a `thing` a box for each."""

    name: str
    thing: Thing | None
    job: str
    date: str
    shop: Letterhead


def label_form(label: Label, size: LabelSize) -> bytes:
    """The label as a PDF, on a roll as long as it needs; on a sheet twice, for the thing and for its owner.

    Raises: PdfNotInstalledError where no PDF can be made here.
    """
    words = ("title", "name", "job", "date", "keep")
    things = [label.thing] if label.thing else ["cell", "pack"]
    data = {
        "paper": _PAPERS[size],
        "language": language_in_use(),
        "words": {word: say(f"handing_over.label.{word}") for word in words},
        "things": [say(f"handing_over.label.{thing}") for thing in things],
        "name": cleaned(label.name),
        "job": cleaned(label.job),
        "date": cleaned(label.date),
        "shop": label.shop.head,
        "below": label.shop.below_the_name(),
    }
    return set_by_typst("label", breakable(data))

"""Every text of a document as one line of plain characters, so that no form has to trust what people typed."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import Any

from engine.quantities.units import UNITS
from reports.document import Document, Picture
from reports.text_layout import cleaned

_LONGEST_FIRST = sorted(UNITS, key=lambda name: (-len(name), name))
_QUANTITY = re.compile(r"(?<=\d) (?=(?:" + "|".join(map(re.escape, _LONGEST_FIRST)) + r")(?![\w/]))")
_GROUP = re.compile(r"(?<=\d) (?=\d{3}(?!\d))")
_UNIT = re.compile(r"(?<!\w)(?:" + "|".join(re.escape(name) for name in _LONGEST_FIRST if " " in name) + r")(?![\w/])")
_NO_BREAK = "\u00a0"


def plainly(document: Document, unparted: bool = False) -> Document:
    """The document without control or direction characters in any text; drawings stay as they are.

    Args:
        document: any document.
        unparted: put spaces that break no line into quantities (`10 000 US gal`), for forms that break lines.
    """
    changed: Document = _plain(document, _unparted if unparted else cleaned)
    return changed


def _plain(value: Any, change: Callable[[str], str]) -> Any:
    """A text, a tuple or a record, changed all the way down."""
    if isinstance(value, str):
        return change(value)
    if isinstance(value, tuple):
        return tuple(_plain(part, change) for part in value)
    if is_dataclass(value) and not isinstance(value, type):
        kept = {"svg"} if isinstance(value, Picture) else set[str]()
        names = [field.name for field in fields(value) if field.name not in kept]
        return replace(value, **{name: _plain(getattr(value, name), change) for name in names})
    return value


def _unparted(text: str) -> str:
    whole = _QUANTITY.sub(_NO_BREAK, _GROUP.sub(_NO_BREAK, cleaned(text)))
    return _UNIT.sub(lambda found: found[0].replace(" ", _NO_BREAK), whole)

"""Every text of a document as one line of plain characters, so that no form has to trust what people typed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import Any

from engine.foundation.plain_text import cleaned
from reports.document import Document, Picture
from reports.text_layout import unparted


def plainly(document: Document, unbroken: bool = False) -> Document:
    """The document without control or direction characters in any text; drawings stay as they are.

    Args:
        document: any document.
        unbroken: put spaces that break no line into quantities (`10 000 US gal`), for forms that break lines.
    """
    changed: Document = _plain(document, unparted if unbroken else cleaned)
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

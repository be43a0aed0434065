"""From a view to a printed sheet: the template environment and its filters; the only importer of jinja2."""

from __future__ import annotations

import functools

from jinja2 import Environment, PackageLoader, StrictUndefined

from reports.text import WIDTH, columns, underline, wrapped
from reports.view import JobView
from reports.words import joined, percent, sentence

__all__ = ["environment", "text_sheet"]

_TEMPLATES = {"field": "field.txt.j2", "counter": "counter.txt.j2", "phone": "counter.txt.j2"}


def text_sheet(view: JobView) -> str:
    """The job sheet as plain text: lines of at most 80 columns, ending in a line break.

    Args:
        view: the job; its voice picks the field version or the one for counter and phone.
    """
    text = environment().get_template(_TEMPLATES[view.voice]).render(view=view)
    return "\n".join(line.rstrip() for line in text.strip().splitlines()) + "\n"


@functools.cache
def environment() -> Environment:
    """The environment of the text templates. An unknown name is an error, and nothing is escaped: it is no markup."""
    made = Environment(
        loader=PackageLoader("reports"),
        undefined=StrictUndefined,
        autoescape=False,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    made.filters.update(
        wrap=wrapped,
        row=_row,
        ends=_ends,
        underline=underline,
        percent=percent,
        decibans=_decibans,
        joined=joined,
        sentence=sentence,
    )
    made.globals.update(rule="=" * WIDTH)
    return made


def _row(label: str, value: str, at: int = 12, mark: str = " ") -> str:
    """A label, filled up with marks to a column, and a value that is wrapped from there."""
    filled = f"{label} " if mark != " " else label
    space = at - columns(filled) - 1
    if space < 0:
        return f"{wrapped(label)}\n{wrapped(value, ' ' * at)}"
    return wrapped(value, f"{filled}{mark * space} ", " " * at)


def _ends(left: str, right: str) -> str:
    """Two texts at the two ends of a line, or below each other where they do not fit."""
    space = WIDTH - columns(left) - columns(right)
    return f"{left}{' ' * space}{right}" if space >= 2 else f"{wrapped(left)}\n{wrapped(right)}"


def _decibans(weight: float) -> str:
    """A weight of evidence with its sign, to whole decibans."""
    return f"{weight:+.0f} db"

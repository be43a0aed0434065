"""A job for a till, as CSV (RFC 4180): a line for each position, in columns that `reports/README.md` describes."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from engine.foundation.plain_text import cleaned
from engine.foundation.texts import say
from reports.view import JobView

COLUMNS = (
    "job",
    "date",
    "customer",
    "site",
    "serial",
    "position",
    "kind",
    "code",
    "text",
    "quantity",
    "unit",
    "price_class",
)
_BEGINS_A_FORMULA = ("=", "+", "-", "@")


def till_form(view: JobView) -> str:
    """The positions of a job: parts used, labour, travel; a job without any has its head alone.

    Args:
        view: the job.

    Returns: the text, each line ending in CR LF. A text that a spreadsheet would take for a formula has an apostrophe
    before it.
    """
    out = io.StringIO()
    lines = csv.writer(out, lineterminator="\r\n")
    lines.writerow(COLUMNS)
    head, record = view.head, view.record
    whose = (head.job, head.date, record.customer, record.site, record.serial)
    for position, cells in enumerate(_positions(view), start=1):
        lines.writerow([_harmless(cell) for cell in (*whose, str(position), *cells)])
    return out.getvalue()


def _positions(view: JobView) -> Iterator[tuple[str, ...]]:
    record = view.record
    for part in view.record.parts:
        quantity = "" if part.quantity is None else _number(part.quantity)
        yield "part", part.part, part.name, quantity, part.unit, part.price
    for kind, minutes in (("labour", record.labour), ("travel", record.travel)):
        if minutes is not None:
            yield kind, kind, say(f"recording.names.{kind}"), _number(minutes), "min", ""
        elif kind == "labour" and view.done:
            # Work was done: a bill without its time is not finished, and says so.
            yield kind, kind, say("recording.labour_open"), "", "min", ""


def _number(value: float) -> str:
    """A number with a point, whatever language is in use."""
    return f"{value:.10g}"


def _harmless(text: str) -> str:
    """A text in one line that begins no formula."""
    plain = cleaned(text)
    return f"'{plain}" if plain.lstrip().startswith(_BEGINS_A_FORMULA) else plain

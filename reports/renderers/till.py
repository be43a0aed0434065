"""Jobs for a till, as CSV (RFC 4180): a line for each position, in columns that `reports/README.md` describes."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain

from engine.foundation.plain_text import cleaned
from engine.foundation.texts import say
from reports.view import JobView
from reports.view.bill import Bill

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
    bill = Bill(view.head.job, view.head.date, view.record, worked=bool(view.done))
    return "".join(till_lines(positions(bill), COLUMNS))


def till_lines(rows: Iterable[Mapping[str, str]], columns: Sequence[str]) -> Iterator[str]:
    """The line of the columns' names, then one for each row, each as `till_form` has them."""
    for cells in chain([columns], ([_harmless(row[name]) for name in columns] for row in rows)):
        out = io.StringIO()
        csv.writer(out, lineterminator="\r\n").writerow(cells)
        yield out.getvalue()


def positions(bill: Bill) -> Iterator[dict[str, str]]:
    """Each position of a job, by the names of `COLUMNS`."""
    record = bill.record
    whose = (bill.job, bill.date, record.customer, record.site, record.serial)
    for number, cells in enumerate(_positions(bill), start=1):
        yield dict(zip(COLUMNS, (*whose, str(number), *cells), strict=True))


def _positions(bill: Bill) -> Iterator[tuple[str, ...]]:
    record = bill.record
    for part in record.parts:
        quantity = "" if part.quantity is None else _number(part.quantity)
        yield "part", part.part, part.name, quantity, part.unit, part.price
    for kind, minutes in (("labour", record.labour), ("travel", record.travel)):
        if minutes is not None:
            yield kind, kind, say(f"recording.names.{kind}"), _number(minutes), "min", ""
        elif kind == "labour" and bill.worked:
            # Work was done: a bill without its time is not finished, and says so.
            yield kind, kind, say("recording.labour_open"), "", "min", ""


def _number(value: float) -> str:
    """A number with a point, whatever language is in use."""
    return f"{value:.10g}"


def _harmless(text: str) -> str:
    """A text in one line that begins no formula."""
    plain = cleaned(text)
    return f"'{plain}" if plain.lstrip().startswith(_BEGINS_A_FORMULA) else plain

"""Rows of a table on the screen, as columns where they fit and as blocks where not; or as JSON, or as CSV."""

from __future__ import annotations

import csv
import io
import json
import shutil
import sys
import textwrap
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Literal

import click

from interview.command_line.help import SaidOption
from interview.command_line.output import print_paper
from reports.text_layout import columns

TableForm = Literal["text", "json", "csv"]
_GAP = 2
_WIDEST = 200


def table_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command `--json` and `--csv`; it gets them as `as_json` and `as_csv`."""
    as_csv = click.option("--csv", "as_csv", cls=SaidOption, is_flag=True, of="tables")
    return click.option("--json", "as_json", cls=SaidOption, is_flag=True, of="tables")(as_csv(command))


def print_table(
    headings: Sequence[str],
    rows: Sequence[Sequence[str]],
    data: Sequence[Mapping[str, object]],
    form: TableForm,
    may_go: Sequence[int] = (),
) -> None:
    """Print rows for people, or their data for programs: JSON has a list of objects, CSV their keys as its first line.

    Args: what stands over each column, the columns of each row, the same rows as plain data, and the places of columns
    that are left out one after the other where the screen is too narrow for all.
    """
    if form == "json":
        print(json.dumps(list(data), ensure_ascii=False, indent=2))
    elif form == "csv":
        print_paper(_as_csv(data).encode(), "text")
    elif rows:
        width = min(shutil.get_terminal_size().columns, _WIDEST) if sys.stdout.isatty() else _WIDEST
        print_paper("".join(f"{line}\n" for line in as_text(headings, rows, width, may_go)).encode(), "text")


def form_of(as_json: bool, as_csv: bool) -> TableForm:
    """The form asked for."""
    return "json" if as_json else "csv" if as_csv else "text"


def as_text(
    headings: Sequence[str], rows: Sequence[Sequence[str]], width: int, may_go: Sequence[int] = ()
) -> list[str]:
    """A table in lines of at most so many columns; where its columns do not fit, a block of lines for each row."""
    used = [place for place in range(len(headings)) if any(row[place] for row in rows)]
    for gone in (None, *may_go):
        kept = used = [place for place in used if place != gone]
        table = [[headings[place] for place in kept], *([row[place] for place in kept] for row in rows)]
        wide = [max(map(columns, column)) for column in zip(*table, strict=True)]
        if sum(wide) + _GAP * (len(wide) - 1) <= width:
            return [_row(row, wide) for row in table]
    every = [place for place in range(len(headings)) if any(row[place] for row in rows)]
    lines = list[str]()
    for row in rows:
        first, *rest = ((headings[place], row[place]) for place in every if row[place])
        lines.append(first[1])
        lines += (line for name, cell in rest for line in _indented(f"{name}: {cell}", width))
    return lines


def _indented(line: str, width: int) -> list[str]:
    return textwrap.wrap(line, width, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False)


def _row(cells: Sequence[str], wide: Sequence[int]) -> str:
    padded = (cell + " " * (room - columns(cell) + _GAP) for cell, room in zip(cells, wide, strict=True))
    return "".join(padded).rstrip()


def _as_csv(data: Sequence[Mapping[str, object]]) -> str:
    """Rows for a table program. Source: RFC 4180; a cell that such a program would reckon out is made a text."""
    out = io.StringIO()
    if data:
        writer = csv.DictWriter(out, list(data[0]))
        writer.writeheader()
        writer.writerows({key: _cell(value) for key, value in row.items()} for row in data)
    return out.getvalue()


def _cell(value: object) -> object:
    if isinstance(value, list | tuple):
        value = " ".join(map(str, value))
    return f"'{value}" if isinstance(value, str) and value[:1] in ("=", "+", "-", "@") else value

"""A sheet as it is read aloud: every text of it, in lines that are whole, without marks that only the eye reads."""

from __future__ import annotations

import re

import pytest

from reports.document import Document, Table
from reports.renderers.spoken import spoken_form
from reports.renderers.text import text_form
from reports.sheets.choose import sheets
from tests.reports.jobs import DATE
from tests.reports.renderers.papers import every_block
from tests.reports.test_golden_sheets import SHEETS

MARKS = re.compile(r"[-=+|_.*#]{3}|\[ \]|^\s*[|+]|\|\s*$", re.MULTILINE)
"""Boxes, rules, leading points, blanks and boxes to tick."""


def documents() -> list[Document]:
    return [every_block(), *(paper for make in SHEETS.values() for paper in sheets(make(), DATE, annex=True))]


def words(text: str) -> set[str]:
    return set(re.findall(r"\w{2,}", text.casefold().replace("_", " ")))


@pytest.mark.parametrize("place", range(len(SHEETS) + 1))
def test_every_word_is_said_and_no_mark(place: str) -> None:
    paper = documents()[int(place)]
    spoken = spoken_form([paper])
    assert words(text_form([paper], 200)) - words(spoken) == set()
    assert MARKS.findall(spoken) == []


def test_each_row_of_a_table_is_one_line_that_names_every_cell() -> None:
    paper = every_block()
    tables = [block for block in paper.blocks if isinstance(block, Table)]
    lines = spoken_form([paper]).splitlines()
    for row in (row for table in tables for row in table.rows):
        assert any(all(cell in line for cell in row) for line in lines), row

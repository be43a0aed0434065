"""Large print: 18 points or more for all that is read, in one column, and not a word less.

18 points is what associations of blind and partially sighted people ask of large print: the Clear Print guidelines of
the Royal National Institute of Blind People ask for 16 to 18 (from memory).
"""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import pytest

from reports.renderers.html import html_form
from reports.renderers.pdf import pdf_form
from tests.interview.people import run
from tests.reports.renderers.papers import every_block
from tests.reports.renderers.reading import page

LEAST_PT = 18.0
CALL = str(Path(str(files("faults"))) / "calls" / "visible.yaml")


def test_a_pdf_has_no_letter_of_a_text_below_18_points() -> None:
    source = files("reports").joinpath("templates", "sheet.typ").read_text(encoding="utf-8")
    (look,) = re.findall(r"#let large = \((.*?)\n\)", source, re.DOTALL)
    room = ("x", "y", "cell")
    sizes = {name: float(size) for name, size in re.findall(r"([\w-]+): ([0-9.]+)pt", look) if name not in room}
    assert {"size", "small", "table", "lead", "heading", "title", "signal"} <= set(sizes)
    assert {name: size for name, size in sizes.items() if size < LEAST_PT} == {}


@pytest.mark.parametrize("audience", ["customer", "technician", "shop"])
def test_a_large_pdf_is_made_of_the_same_paper(audience: str) -> None:
    small, large = (pdf_form([every_block(audience)], large=size) for size in (False, True))  # type: ignore[arg-type]
    assert large.startswith(b"%PDF-")
    assert large != small


def test_a_large_page_says_the_same_in_larger_letters() -> None:
    small, large = (html_form([every_block("customer")], large=size) for size in (False, True))
    assert page(large).text == page(small).text
    printed = large.rpartition("@media print")[2]
    assert float(re.findall(r"html { font-size: ([0-9.]+)pt", printed)[0]) >= LEAST_PT
    assert 'class="dense"' not in large


def test_the_sheet_is_asked_for_in_large_print(tmp_path: Path) -> None:
    target = tmp_path / "large.html"
    done = run(tmp_path, "ask", "--facts", CALL, "--for", "customer", "--large", "-o", str(target))
    assert done.returncode == 0, done.stderr
    assert "Large print" in target.read_text(encoding="utf-8")
    refused = run(tmp_path, "ask", "--facts", CALL, "--large")
    assert refused.returncode == 2
    assert "--as html" in refused.stderr

"""The card as PDF read back with a program of another project: three pages at most, nothing missing."""

from __future__ import annotations

import subprocess

import pytest

from reports.document import CautionBox, Items, Paper
from reports.renderers.pdf import pdf_form
from tests.reports.card.cards import TREES, document

pytestmark = [pytest.mark.e2e, pytest.mark.no_cover]  # whole calls through branches that other tests take too


def squeezed(text: str) -> str:
    """Without spaces and hyphens: reading back takes a hyphen at the end of a line for a parted word."""
    return "".join(text.replace("-", "").split())


def read(pdf: bytes) -> str:
    """The text of a PDF, page by page, by poppler: in the order written, as by their look two columns may be mixed."""
    command = ["pdftotext", "-raw", "-enc", "UTF-8", "-", "-"]
    return subprocess.run(command, input=pdf, capture_output=True, check=True, timeout=120).stdout.decode("utf-8")


@pytest.mark.parametrize("tree", TREES)
def test_the_pdf_has_three_pages_at_most_with_all_of_it_on_either_paper(tree: str) -> None:
    papers: tuple[Paper, ...] = ("a4", "letter")
    for paper in papers:
        text = read(pdf_form([document(tree)], paper))
        assert 2 <= text.count("\f") <= 3
        seen = squeezed(text)
        for block in document(tree).blocks:
            if isinstance(block, CautionBox):
                assert squeezed(block.text) in seen
            elif isinstance(block, Items):
                assert all(squeezed(part) in seen for item in block.items for part in item)

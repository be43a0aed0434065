"""The PDF: it says what is missing where typst is, comes out the same each time, and takes hostile text as text."""

from __future__ import annotations

import re
import sys
from functools import partial

import pytest
import typst
from hypothesis import HealthCheck, given, settings

from reports.document import CautionBox, Document, Paper
from reports.page_fit import TWO_CLOSE, TWO_ROOMY, lines_taken
from reports.renderers.pdf import PdfNotInstalledError, pdf_form
from reports.sheets.choose import sheets
from reports.sheets.customer import customer_handout
from tests.example_counts import up_to
from tests.reports.jobs import DATE, called
from tests.reports.renderers.papers import HOSTILE, every_block, hostile, papers
from tests.reports.sheets.papers import HANDOUTS, seen
from tests.reports.test_golden_sheets import SHEETS


def pages(pdf: bytes) -> int:
    """Pages, by the count in the root of the page tree (ISO 32000-1, 7.7.3.2)."""
    return int(re.findall(rb"/Type\s*/Pages\s*/Count\s+(\d+)", pdf)[0])


def test_a_pdf_is_one_and_the_same_papers_give_the_same_bytes() -> None:
    made = pdf_form([every_block()])
    assert made.startswith(b"%PDF-")
    assert made == pdf_form([every_block()])
    assert pages(made) == 2


def test_without_typst_the_offer_is_one_line_that_tells_both_ways(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)
    with pytest.raises(PdfNotInstalledError) as caught:
        pdf_form([every_block()])
    offer = str(caught.value)
    # Never a name by which an index could be asked: somebody else's package may bear it.
    assert 'pip install ".[pdf]"' in offer
    assert "brinecall[" not in offer
    assert "HTML" in offer
    assert "\n" not in offer


@pytest.mark.e2e
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", HANDOUTS)
def test_the_handout_is_one_page(name: str, paper: Paper) -> None:
    assert pages(pdf_form([customer_handout(seen(name))], paper)) == 1


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", ["all-tested-field", "flow-fault-field", "repaired-field"])
def test_the_technicians_sheet_is_two_pages_without_its_annex(name: str, paper: Paper) -> None:
    assert pages(pdf_form(sheets(SHEETS[name](), DATE, "technician"), paper)) <= 2


def test_what_is_reckoned_to_fit_two_pages_fits_them() -> None:
    for name in (
        "third acid clean this season, works only half the day",
        "cell in a bucket and a bottle of pool water",
    ):
        (paper,) = sheets(called(name, "field"), DATE, "technician")
        assert TWO_ROOMY < lines_taken(paper.blocks) <= TWO_CLOSE
        assert pages(pdf_form([paper])) == 2


# ISO 216: A4 is 210 by 297 mm; ANSI/ASME Y14.1: letter is 8.5 by 11 in; 72 points an inch.
@pytest.mark.parametrize(("paper", "width", "height"), [("a4", 595.28, 841.89), ("letter", 612, 792)])
def test_the_paper_has_its_size(paper: Paper, width: float, height: float) -> None:
    box = re.findall(rb"/MediaBox ?\[([^]]*)\]", pdf_form([every_block()], paper))[0]
    assert [float(number) for number in box.split()] == pytest.approx([0, 0, width, height], abs=0.01)


@pytest.mark.parametrize("name", SHEETS)
def test_the_kept_sheets_pass_the_check_for_being_read_aloud(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    # PDF/UA-1 (ISO 14289-1), as far as typst checks it: a title, languages, words for drawings, headings in order.
    monkeypatch.setattr(typst, "compile", partial(typst.compile, pdf_standards=["ua-1"]))
    assert b"pdfuaid" in pdf_form(sheets(SHEETS[name](), DATE))


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_is_set_and_not_obeyed(name: str) -> None:
    assert pages(pdf_form([hostile(HOSTILE[name])])) >= 1


@settings(max_examples=up_to(30), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(papers())
def test_any_paper_is_set(paper: Document) -> None:
    assert pages(pdf_form([paper])) >= 1


def test_a_caution_longer_than_a_page_goes_on_over_the_next() -> None:
    paper = Document("shop", "en", "", "", "", "T", (CautionBox("long", "DANGER", "Keep out. " * 1000),), "")
    assert pages(pdf_form([paper])) > 1


def test_a_paper_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        pdf_form([])

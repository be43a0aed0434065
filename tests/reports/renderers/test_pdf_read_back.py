"""What a PDF says when another program reads it: its text, its title and language, its pages' numbers."""

from __future__ import annotations

import re
import subprocess
from typing import get_args

import pytest

from engine.foundation.plain_text import cleaned
from engine.foundation.text_catalog import use_language
from reports.document import CautionBox, Document, Paper
from reports.renderers.pdf import pdf_form
from reports.sheets.choose import view_for
from reports.sheets.shop import shop_sheet
from tests.benchmarks.handouts import as_counter, in_use
from tests.benchmarks.papers import calls
from tests.reports.jobs import DATE
from tests.reports.renderers.papers import HOSTILE, every_block, hostile
from tests.reports.renderers.reading import in_pdf, squeezed
from tests.shipped import models_in

pytestmark = pytest.mark.e2e

LONGEST_OF_THE_SHOP = ("flickers whenever the heat pump starts", "children ill the day after swimming")
"""The clerk's papers that are longest of those of all worked calls, in either language: 45 % of a page at most."""
_FOOT = 0.93
"""From this share of a page's height on stands its foot."""
READABLE = ["markup", "templates", "typesetting", "markdown", "style sheet", "terminal", "direction", "lines", "long"]


def said_of(pdf: bytes) -> str:
    """What poppler tells about the file."""
    return subprocess.run(["pdfinfo", "-"], input=pdf, capture_output=True, check=True, timeout=120).stdout.decode(
        "utf-8"
    )


@pytest.mark.parametrize("name", READABLE)
def test_hostile_text_is_read_back_letter_by_letter_from_every_field(name: str) -> None:
    text = cleaned(HOSTILE[name])
    made = squeezed(in_pdf(pdf_form([hostile(HOSTILE[name])], "letter")))
    assert made.count(squeezed(text)) >= 30
    assert "root:" not in made


def test_a_long_caution_is_whole() -> None:
    text = " ".join(f"word{number}" for number in range(3000))
    paper = Document("shop", "en", "", "", "", "T", (CautionBox("long", "DANGER", text),), "")
    assert squeezed(text) in squeezed(in_pdf(pdf_form([paper], "letter")))


def test_the_file_tells_its_title_and_that_it_can_be_read_aloud() -> None:
    about = said_of(pdf_form([every_block()]))
    assert "Chlorinator job sheet" in about
    assert "Tagged:          yes" in about
    assert "1970" in about


def test_each_page_bears_its_number_of_how_many() -> None:
    made = subprocess.run(
        ["pdftotext", "-layout", "-", "-"],
        input=pdf_form([every_block()]),
        capture_output=True,
        check=True,
        timeout=120,
    ).stdout.decode("utf-8")
    # Poppler may take the narrow spaces around the stroke for none.
    assert [re.findall(r"\d ?/ ?2$", sheet.strip())[0][0] for sheet in made.split("\f")[:2]] == ["1", "2"]


def test_signs_of_the_trade_are_in_the_fonts_that_come_along() -> None:
    signs = "µS/cm m³ °C °F Ω ≥ ≤ \u00d7 \u2212 \u2013 · — … ½ é ü ñ ß æ ø Ж λ €"
    paper = Document("shop", "en", "", "", "", signs, (), "")
    assert squeezed(signs) in squeezed(in_pdf(pdf_form([paper], "letter")))


@pytest.mark.parametrize("paper", get_args(Paper))
@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("name", LONGEST_OF_THE_SHOP)
def test_the_clerks_paper_takes_half_a_page(name: str, language: str, paper: Paper) -> None:
    use_language(language)
    try:
        told = models_in(language)
        session = as_counter(told, next(call for call in calls(1) if call.name == name))
        made = pdf_form([in_use(shop_sheet(view_for(session, DATE, "shop")))], paper)
    finally:
        use_language("en")
    words = ["pdftotext", "-bbox", "-", "-"]
    boxes = subprocess.run(words, input=made, capture_output=True, check=True, timeout=120).stdout.decode("utf-8")
    assert boxes.count("<page ") == 1
    height = float(re.findall(r'<page [^>]*height="([0-9.]+)"', boxes)[0])
    ends = [float(end) for end in re.findall(r'yMax="([0-9.]+)"', boxes)]
    assert max(end for end in ends if end < _FOOT * height) <= height / 2

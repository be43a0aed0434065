"""The card on paper: nothing overlaps, every box and every caution is there in every form, and it fits three pages."""

from __future__ import annotations

import html as markup
import re
from xml.etree import ElementTree

import pytest

from engine.quantities.unit_systems import shown_in
from reports.card.boxes import OPEN
from reports.card.wording import Wordings
from reports.document import Blanks, CautionBox, Items, Picture
from reports.renderers.html import html_form
from reports.renderers.markdown import markdown_form
from reports.renderers.pdf import pdf_form
from reports.renderers.text import text_form
from tests.reports.card.cards import TREES, card, document
from tests.reports.charts.looking import boxes, drawing_problems, letters, texts
from tests.shipped import knowledge


def charts(tree: str) -> list[str]:
    """The drawings of a card, a page each."""
    return [block.svg for block in document(tree).blocks if isinstance(block, Picture)]


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("tree", TREES)
def test_nothing_in_the_flowchart_overlaps_or_is_cut(tree: str) -> None:
    found = 0
    for picture in charts(tree):
        assert drawing_problems(picture, narrow=False) == []
        edged = boxes(picture)[1:]
        found += len(edged)
        for text in texts(picture):
            assert all(box.holds(text) for box in edged if box.meets(text))
        assert not [1 for nth, box in enumerate(edged) for other in edged[nth + 1 :] if box.meets(other)]
    assert found == len(card(tree).boxes)


@pytest.mark.parametrize("tree", TREES)
def test_every_box_stands_in_the_flowchart_with_all_its_ways(tree: str) -> None:
    written, wordings = "".join(map(letters, charts(tree))), Wordings(knowledge(), card(tree))
    for box in card(tree).boxes:
        assert squeezed(wordings.title(box)) in written
        assert squeezed(wordings.before(box)) in written
        assert squeezed(wordings.left(box)) in written
        for answers, way in wordings.ways(box, short=True):
            assert squeezed(f"{answers} \u2192 {way.goal}") in written


@pytest.mark.parametrize("tree", TREES)
def test_letters_on_a4_are_no_smaller_than_seven_points(tree: str) -> None:
    """A drawing is set 186 mm wide or 236 mm high at most; 11 units must then be 7 points: a point is 0.353 mm."""
    for picture in charts(tree):
        width, height = map(float, ElementTree.fromstring(picture).get("viewBox", "").split()[2:])
        scale_mm = min(186.0 / width, 236.0 / height)
        assert 11.0 * scale_mm / 0.3528 >= 7.0


@pytest.mark.parametrize("tree", TREES)
def test_in_every_form_every_box_and_every_caution_is_told_in_full(tree: str) -> None:
    paper, wordings = document(tree), Wordings(knowledge(), card(tree))
    page = re.sub(r"<[^>]+>", "", html_form([paper]))
    forms = {
        "text": re.sub(r"(?m)^\| | \|$", "", text_form([paper])),
        "html": markup.unescape(page),
        "markdown": re.sub(r"\\(.)", r"\1", re.sub(r"(?m)^> ?|\*", "", markdown_form([paper]))),
    }
    cautions = [block for block in paper.blocks if isinstance(block, CautionBox)]
    assert {block.caution for block in cautions} == {name for box in card(tree).boxes for name in box.cautions}
    for form, text in forms.items():
        seen = squeezed(text)
        for box in card(tree).boxes:
            assert squeezed(wordings.title(box)).rstrip(".") in seen, form
        for block in cautions:
            said = shown_in(knowledge().cautions[block.caution].wording.technician, "metric")
            assert squeezed(said) in seen, form


@pytest.mark.parametrize("tree", TREES)
def test_every_number_behind_c_is_a_caution_on_the_card(tree: str) -> None:
    numbers = {block.text.split(".")[0] for block in document(tree).blocks if isinstance(block, CautionBox)}
    assert set(re.findall(r"\bC\d+\b", " ".join(box.text for svg in charts(tree) for box in texts(svg)))) == numbers


def test_limits_are_told_in_the_units_wished_for() -> None:
    """16 °C is 60.8 °F (F = 1.8 C + 32), shown as 61 °F; salt is in ppm in both."""
    for tree, metric, us in (("cold-water", "16°C", "61°F"), ("low-salt", "2800ppm", "2800ppm")):
        assert metric in "".join(map(letters, charts(tree)))
        in_us = [block.svg for block in document(tree, "us").blocks if isinstance(block, Picture)]
        assert us in "".join(map(letters, in_us))


@pytest.mark.parametrize("tree", TREES)
def test_each_check_has_a_line_to_write_on_and_the_paper_one_for_name_and_time(tree: str) -> None:
    (head,) = [block for block in document(tree).blocks if isinstance(block, Blanks)]
    assert {label for label, _, _ in head.blanks} == {"Name", "Pool", "Date", "From", "To"}
    (listed,) = [block for block in document(tree).blocks if isinstance(block, Items)]
    for box in card(tree).boxes:
        if box.kind in OPEN:
            (text,) = [text for text, _ in listed.items if text.startswith(f"{box.number}. ")]
            assert "____" in text


def test_the_same_card_gives_the_same_pdf() -> None:
    assert pdf_form([document("cold-water")]) == pdf_form([document("cold-water")])


def test_the_page_reaches_for_nothing_and_runs_nothing() -> None:
    page = html_form([document("cold-water")])
    assert "<script" not in page
    assert not re.search(r"(?:src|href)\s*=|url\(|@import", page)

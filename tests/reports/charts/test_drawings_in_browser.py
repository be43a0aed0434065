"""Pictures, trees and cards as a browser draws them: texts no wider than reckoned, nothing sticks out, three pages.

They need Debian's chromium; where there is none, the run says that they did not run (tests/machine.py).
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

from reports.charts.movement import movement_picture
from reports.charts.plant import place_picture
from reports.charts.ranges import ranges_picture
from reports.charts.ranking import ranking_picture
from reports.document import Paper
from reports.renderers.html import html_form
from reports.tree_diagram.chart import tree_drawing
from reports.tree_diagram.forms import html, svg
from reports.view import job_view
from tests.reports.card.cards import TREES, document
from tests.reports.charts.looking import texts
from tests.reports.jobs import DATE, called
from tests.reports.renderers.test_pdf import pages
from tests.shipped import knowledge, visible_calls

pytestmark = [pytest.mark.browser, pytest.mark.no_cover]  # whole calls through branches that other tests take too

WIDTHS = """() => [...document.querySelectorAll("svg text")].map(text => text.getComputedTextLength())"""
SMALLEST = """() => Math.min(...[...document.querySelectorAll("svg text")].map(text => {
  const box = text.ownerSVGElement.getBoundingClientRect(), view = text.ownerSVGElement.viewBox.baseVal;
  return parseFloat(text.getAttribute("font-size")) * box.width / view.width;
}))"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    program = shutil.which("chromium")
    assert program, "chromium is missing: apt-get install chromium"
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield started
        started.close()


def every_drawing() -> list[str]:
    views = [job_view(called(call.name), DATE) for call in visible_calls()[::5]]
    draws = (ranking_picture, movement_picture, ranges_picture, place_picture)
    pictures = [picture.svg for view in views for draw in draws if (picture := draw(view)) is not None]
    return [*pictures, *(svg(tree_drawing(knowledge(), tree)) for tree in TREES)]


def test_no_text_is_wider_than_it_was_reckoned_to_be(browser: Browser) -> None:
    """The layouts rest on an estimate; the browser's own measure of each line is what it must not fall short of."""
    page = browser.new_page()
    for drawing in every_drawing():
        page.set_content(drawing)
        reckoned = [box.right - box.left for box in texts(drawing)]
        assert all(real <= most + 0.5 for real, most in zip(page.evaluate(WIDTHS), reckoned, strict=True))
    page.close()


def test_letters_of_a_picture_are_nine_pixels_high_on_a_small_phone(browser: Browser) -> None:
    page = browser.new_page()
    view = job_view(called(visible_calls()[3].name), DATE)
    for draw in (ranking_picture, movement_picture, ranges_picture, place_picture):
        picture = draw(view)
        assert picture is not None
        page.set_content(f'<div style="width: 340px">{picture.svg}</div>')
        assert page.evaluate(SMALLEST) >= 9.0
    page.close()


@pytest.mark.parametrize("width", [360, 390, 1280])
@pytest.mark.parametrize("tree", TREES)
def test_a_tree_s_page_is_no_wider_than_the_screen(browser: Browser, tmp_path: Path, tree: str, width: int) -> None:
    file, asked = tmp_path / "tree.html", list[str]()
    file.write_text(html(tree_drawing(knowledge(), tree)), encoding="utf-8")
    page = browser.new_page(viewport={"width": width, "height": 900})
    page.on("request", lambda request: asked.append(request.url))
    page.goto(file.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert asked == [file.as_uri()]
    page.close()


@pytest.mark.parametrize("tree", TREES)
def test_a_card_fits_the_screen_and_three_pages_of_either_paper(browser: Browser, tree: str) -> None:
    page = browser.new_page(viewport={"width": 360, "height": 900})
    papers: tuple[Paper, ...] = ("a4", "letter")
    for paper in papers:
        page.set_content(html_form([document(tree)], paper))
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        assert pages(page.pdf(prefer_css_page_size=True)) <= 3
    page.close()

"""Pages looked at by a browser: nothing sticks out, nothing is fetched, all can be read, ticked and printed.

They need Debian's chromium; where there is none, the run says that they did not run (tests/machine.py).
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from reports.document import Audience, CautionBox, Document, NewPage, Paper
from reports.renderers.html import html_form
from reports.sheets.choose import sheets
from reports.sheets.customer import customer_handout
from tests.reports.jobs import DATE
from tests.reports.renderers.looking import CONTRASTS, CUT_OFF, FOCUSED, OUTLINE, OUTSIDE
from tests.reports.renderers.papers import HOSTILE, every_block, hostile
from tests.reports.renderers.test_pdf import pages
from tests.reports.sheets.papers import HANDOUTS
from tests.reports.sheets.papers import seen as seen_by_customer
from tests.reports.test_golden_sheets import SHEETS

pytestmark = pytest.mark.browser

WIDTHS = (360, 390, 820, 1280)
"""From a small phone to a desk: common practice, no source."""
PAGES = (*SHEETS, "repaired-field-customer", "every-block")
LEAST_CONTRAST = 4.5
"""WCAG 2.1, success criterion 1.4.3, level AA."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    program = shutil.which("chromium")
    assert program, "chromium is missing: apt-get install chromium"
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield started
        started.close()


@cache
def papers(name: str) -> tuple[Document, ...]:
    if name == "every-block":
        return every_block(), every_block("customer")
    whom: Audience | None = "customer" if name.endswith("-customer") else None
    return sheets(SHEETS[name.removesuffix("-customer")](), DATE, whom)


@pytest.fixture
def shown(browser: Browser, tmp_path: Path) -> Iterator[Shown]:
    made = Shown(browser, tmp_path / "sheet.html")
    yield made
    made.close()


@pytest.fixture(scope="module")
def kept(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[[str], Shown]]:
    """Each of the papers opened once, for the tests that only look at it: to load a page is most of their time."""
    folder = tmp_path_factory.mktemp("kept")
    opened: dict[str, Shown] = {}

    def of(name: str) -> Shown:
        if name not in opened:
            opened[name] = Shown(browser, folder / f"{name}.html")
            opened[name].at(820, html_form(papers(name)))
        return opened[name]

    yield of
    for made in opened.values():
        made.close()


class Shown:
    """A page opened in the browser, and what it asked for or complained about."""

    def __init__(self, browser: Browser, file: Path) -> None:
        self._browser, self._file = browser, file
        self._open: list[Page] = []
        self.requests: list[str] = []
        self.complaints: list[str] = []

    def at(self, width: int, html: str) -> Page:
        self._file.write_text(html, encoding="utf-8")
        seen = self._browser.new_page(viewport={"width": width, "height": 900}, color_scheme="light")
        self._open.append(seen)
        seen.on("request", lambda request: self.requests.append(request.url))
        seen.on("console", lambda message: self.complaints.append(message.text))
        seen.on("pageerror", lambda error: self.complaints.append(str(error)))
        seen.goto(self._file.as_uri())
        return seen

    @property
    def page(self) -> Page:
        """The page that was opened last."""
        return self._open[-1]

    def close(self) -> None:
        for seen in self._open:
            seen.close()


@pytest.mark.parametrize("name", PAGES)
def test_nothing_sticks_out_or_is_cut_off_at_any_width(name: str, kept: Callable[[str], Shown]) -> None:
    seen = kept(name).page
    for width in WIDTHS:
        seen.set_viewport_size({"width": width, "height": 900})
        assert seen.evaluate(OUTSIDE) == []
        assert seen.evaluate(CUT_OFF) == []


@pytest.mark.parametrize("name", PAGES)
def test_a_page_asks_for_nothing_but_itself_and_has_nothing_to_complain_of(
    name: str, kept: Callable[[str], Shown]
) -> None:
    shown = kept(name)
    seen = shown.page
    seen.set_viewport_size({"width": 820, "height": 900})
    assert shown.requests == [seen.url]
    assert shown.complaints == []
    assert seen.evaluate("() => [...document.images].filter(it => !it.naturalWidth).length") == 0
    drawn = seen.evaluate(
        "() => [...document.querySelectorAll('figure svg')].map(it => it.getBoundingClientRect().height)"
    )
    assert all(height > 20 for height in drawn)


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_word_stands_out_from_its_ground(
    name: str, scheme: Literal["dark", "light"], kept: Callable[[str], Shown]
) -> None:
    seen = kept(name).page
    seen.set_viewport_size({"width": 820, "height": 900})
    seen.emulate_media(color_scheme=scheme)
    found = seen.evaluate(CONTRASTS)
    assert len(found) > 15
    assert [(text, ratio) for text, ratio in found if ratio < LEAST_CONTRAST] == []


@pytest.mark.parametrize("name", PAGES)
def test_headings_go_down_one_level_at_a_time(name: str, kept: Callable[[str], Shown]) -> None:
    levels = kept(name).page.evaluate(OUTLINE)
    assert levels[0] == 1
    assert levels.count(1) == len(papers(name))
    assert all(after <= before + 1 for before, after in pairwise(levels))


@pytest.mark.parametrize("name", ["repaired-field", "all-tested-counter", "every-block"])
def test_every_box_is_reached_by_the_keyboard_is_named_and_can_be_ticked(name: str, shown: Shown) -> None:
    seen = shown.at(390, html_form(papers(name)))
    count = seen.locator("input[type=checkbox]").count()
    assert count > 0
    reached = []
    for _ in range(count + len(papers(name))):
        seen.keyboard.press("Tab")
        at = seen.evaluate(FOCUSED)
        if at and at[1] == "checkbox":
            reached.append(at)
            seen.keyboard.press("Space")
    assert len(reached) == count
    assert all(name and is_seen for _, _, name, is_seen in reached)
    assert seen.locator("input:checked").count() == count


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_neither_runs_nor_sticks_out_nor_makes_elements(name: str, shown: Shown) -> None:
    seen = shown.at(360, html_form([hostile(HOSTILE[name])]))
    assert seen.evaluate(OUTSIDE) == []
    assert shown.complaints == []
    assert shown.requests == [seen.url]
    assert seen.locator("script, img:not(.whose-paper > img), iframe, b, i").count() == 0
    seen.set_viewport_size({"width": 1280, "height": 900})
    assert seen.evaluate(OUTSIDE) == []


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", PAGES)
def test_printed_it_has_few_pages_none_of_them_empty(name: str, paper: Paper, shown: Shown) -> None:
    seen = shown.at(1280, html_form(papers(name), paper))
    made = seen.pdf(prefer_css_page_size=True)
    # As many letters as fill a page set tightly are some 3500 (common practice, no source); boxes and lists take more.
    letters = sum(len(text) for text in seen.locator("article").all_inner_texts())
    begun = sum(1 + paper.blocks.count(NewPage()) for paper in papers(name))
    assert len(papers(name)) <= pages(made) <= begun + letters // 900
    # A width of 178 mm is what the margins leave of A4; on it, too, nothing sticks out.
    seen.emulate_media(media="print")
    seen.set_viewport_size({"width": 673, "height": 900})
    assert seen.evaluate(OUTSIDE) == []


@pytest.mark.parametrize("name", HANDOUTS)
def test_the_handout_is_printed_on_one_page_in_letters_of_9_points_or_more(name: str, shown: Shown) -> None:
    seen = shown.at(1280, html_form([customer_handout(seen_by_customer(name))]))
    assert pages(seen.pdf(prefer_css_page_size=True)) == 1
    seen.emulate_media(media="print")
    smallest = seen.locator("article li, article p, article td, article th, article footer").evaluate_all(
        "them => Math.min(...them.map(it => parseFloat(getComputedStyle(it).fontSize)))"
    )
    assert smallest * 0.75 >= 9  # A CSS pixel is three quarters of a point (CSS Values 3, 5.2).
    letter = shown.at(1280, html_form([customer_handout(seen_by_customer(name))], "letter"))
    assert pages(letter.pdf(prefer_css_page_size=True)) == 1


def test_each_caution_is_to_be_seen_in_a_box_with_its_word(shown: Shown) -> None:
    made = papers("all-tested-counter")
    owed = [(block.signal, block.text) for paper in made for block in paper.blocks if isinstance(block, CautionBox)]
    for media in ("screen", "print"):
        seen = shown.at(390, html_form(made))
        seen.emulate_media(media="print" if media == "print" else "screen")
        boxes = seen.locator(".caution")
        assert boxes.count() == len(owed) > 0
        for number, (signal, text) in enumerate(owed):
            box = boxes.nth(number)
            assert box.is_visible()
            assert box.locator(".signal").inner_text().strip() == signal
            assert box.locator(".text").inner_text().replace("\u00a0", " ") == text
            assert box.evaluate("it => parseFloat(getComputedStyle(it).borderTopWidth)") >= 1

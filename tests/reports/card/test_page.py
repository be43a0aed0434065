"""The card as a page to tap through: every box a screen, every answer a link, its cautions before its act."""

from __future__ import annotations

import html as markup
import re
from functools import cache

import pytest

from reports.card.page import card_page
from reports.card.wording import Wordings
from tests.reports.card.cards import TREES, card
from tests.shipped import knowledge


@cache
def screens(tree: str) -> dict[int, str]:
    """The inside of each screen by its number."""
    page = markup.unescape(card_page(knowledge(), card(tree), "Ninth Heron Pool Shop", "2026-05-04"))
    return {int(number): inside for number, inside in re.findall(r'(?s)<section id="box-(\d+)">(.*?)</section>', page)}


@pytest.mark.parametrize("tree", TREES)
def test_every_answer_is_a_link_to_its_box_and_every_box_links_back(tree: str) -> None:
    wordings, boxes = Wordings(knowledge(), card(tree)), card(tree).boxes
    assert set(screens(tree)) == {box.number for box in boxes}
    for box in boxes:
        led = re.findall(r'<li><a href="#box-(\d+)"[^>]*>([^<]+)</a>', screens(tree)[box.number])
        wanted = [(str(way.goal), wordings.answers(box, (answer,))) for way in box.ways for answer in way.answers]
        assert sorted(led) == sorted(wanted)
        for way in box.ways:
            assert f'<a href="#box-{box.number}">' in screens(tree)[way.goal]


@pytest.mark.parametrize("tree", TREES)
def test_cautions_and_switching_stand_before_what_is_done_and_before_the_answers(tree: str) -> None:
    wordings = Wordings(knowledge(), card(tree))
    for box in card(tree).boxes:
        screen = screens(tree)[box.number]
        cautions = [place.start() for place in re.finditer('class="caution ', screen)]
        assert len(cautions) == len(box.cautions)
        act = [screen.find(word) for word in ("<p>", "<label>", 'class="answers"') if word in screen]
        assert not cautions or not act or max(cautions) < min(act)
        assert not wordings.before(box) or 'class="before"' in screen[: min([*cautions, *act, len(screen)])]


def test_the_page_runs_nothing_fetches_nothing_and_shows_its_first_box_last_in_the_file() -> None:
    """Of what follows the box that the address names, the first one is hidden: so it must come last."""
    page = card_page(knowledge(), card("low-salt"), "<script>alert(1)</script>", "2026-05-04")
    assert "<script" not in page
    assert "default-src 'none'" in page
    assert not re.search(r'src\s*=|url\(|@import|href="(?!#box-)', page)
    assert list(screens("low-salt"))[-1] == 1

"""The page as a file: nothing runs, nothing is fetched, headings in order, and every text stays text."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings

from engine.foundation.plain_text import cleaned
from reports.document import Document, Heading, Paper, Paragraph
from reports.renderers.html import html_form
from tests.example_counts import up_to
from tests.reports.renderers.papers import HOSTILE, every_block, hostile, papers
from tests.reports.renderers.reading import page, squeezed

FIELDS = 30
"""Places of a hostile paper that show the text, at least."""
SLOW = settings(max_examples=up_to(50), deadline=None, suppress_health_check=[HealthCheck.too_slow])


def without_drawings(html: str) -> str:
    return re.sub(r"(?s)<svg.*?</svg>", "", html)


def in_order(levels: list[int]) -> bool:
    """Whether headings begin at 1, and never go down by more than one level at once."""
    return levels[:1] == [1] and all(after <= before + 1 for before, after in pairwise(levels))


def test_a_page_runs_nothing_and_fetches_nothing() -> None:
    html = html_form([every_block(), every_block("customer")])
    seen = page(html)
    assert not {"script", "link", "img", "iframe", "object", "embed", "base", "form"} & set(seen.tags)
    assert not {name for name in seen.attribute_names if name.startswith("on") or name in ("src", "srcset", "action")}
    assert all(value.startswith("#") for _, name, value in seen.attributes if name == "href")
    assert not re.search(r"url\(|@import|expression", seen.style)
    # Content Security Policy, level 3: all is forbidden that is not named.
    policy = next(value for _, name, value in seen.attributes if name == "content")
    assert policy.startswith("default-src 'none'; style-src 'unsafe-inline'; img-src data:;")


def test_a_page_has_a_title_a_language_and_a_heading_for_each_paper() -> None:
    seen = page(html_form([every_block(), every_block("customer")]))
    assert seen.tags.count("article") == seen.headings.count(1) == 2
    assert ("html", "lang", "en") in seen.attributes
    assert seen.title == "Chlorinator job sheet, Job job-7"
    assert "For the technician" in seen.text
    assert "For the customer" in seen.text


@SLOW
@given(papers())
def test_headings_stand_in_order_whatever_the_blocks(paper: Document) -> None:
    assert in_order(page(html_form([paper, paper])).headings)


def test_a_small_heading_without_a_great_one_skips_no_level() -> None:
    blocks = (Heading("Small", 3), Paragraph("One."), Heading("Great"), Heading("Small", 3))
    paper = Document("shop", "en", "", "", "", "Title", blocks, "")
    assert page(html_form([paper])).headings == [1, 2, 2, 3]


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_stays_text_in_every_field(name: str) -> None:
    text = HOSTILE[name]
    seen, harmless = (
        page(without_drawings(html_form([hostile(text)]))),
        page(without_drawings(html_form([hostile("x")]))),
    )
    assert seen.tags == harmless.tags
    assert seen.attribute_names == harmless.attribute_names
    assert squeezed(seen.text).count(squeezed(cleaned(text))) >= FIELDS
    assert "example.invalid" not in seen.style
    assert not [char for char in seen.text if not char.isprintable() and char not in "\n\u00a0\u200c\u200d"]


@pytest.mark.parametrize("name", HOSTILE)
def test_the_foot_of_printed_pages_is_written_in_character_numbers_alone(name: str) -> None:
    seen = page(html_form([hostile(HOSTILE[name])]))
    written = re.findall(r'@bottom-left \{ content: "(.*?)";', seen.style)
    assert len(written) == 1
    assert re.fullmatch(r"(?:\\[0-9a-f]{6})+", written[0])
    # CSS Syntax, section 4.3.7: a backslash and up to six hexadecimal digits are that character.
    told = "".join(chr(int(digits, 16)) for digits in written[0].split("\\")[1:])
    assert told.removesuffix("…") in " · ".join([cleaned(HOSTILE[name])] * 3)


@pytest.mark.parametrize(("paper", "size"), [("a4", "A4"), ("letter", "letter")])
def test_the_page_asks_for_the_paper(paper: Paper, size: str) -> None:
    assert f"size: {size}; margin" in page(html_form([every_block()], paper)).style


def test_every_box_to_tick_has_its_words_in_a_label() -> None:
    boxes = page(html_form([every_block()])).boxes
    # Two pieces of work, three ticked steps, two parts.
    assert len(boxes) == 7
    assert all(place.endswith("/label") for place in boxes)


def test_a_drawing_stands_in_the_page_and_in_words() -> None:
    seen = page(html_form([every_block()]))
    assert ("svg", "role", "img") in seen.attributes
    assert squeezed("Calcium scale on the plates: 86 %") in squeezed(seen.text)


def test_a_number_is_not_parted_from_its_unit() -> None:
    assert "2450\u00a0ppm shown over 3350\u00a0ppm" in page(html_form([every_block()])).text


def test_a_page_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        html_form([])

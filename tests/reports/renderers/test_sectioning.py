"""Blocks by their headings: each stands in one section, in its order, and none is lost."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings

from reports.document import Block, CautionBox, Document, Heading, NewPage, Paragraph
from reports.renderers.sectioning import Section, sections
from tests.reports.renderers.papers import papers


def of(*blocks: Block) -> list[Section]:
    return list(sections(Document("shop", "en", "", "", "", "", blocks, "")))


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(papers())
def test_no_block_is_lost_or_moved_but_a_new_page_at_the_end(paper: Document) -> None:
    laid: list[Block] = []
    for section in sections(paper):
        laid += [] if section.heading is None else [Heading(section.heading)]
        laid += section.blocks
    assert tuple(laid) == paper.blocks[: len(laid)]
    assert set(paper.blocks[len(laid) :]) <= {NewPage()}


def test_what_stands_before_the_first_heading_has_a_section_without_one() -> None:
    first, second = Paragraph("One."), Paragraph("Two.")
    assert of(first, Heading("A"), second) == [Section(None, (first,)), Section("A", (second,))]
    assert of(Heading("A"), Heading("B", 3), second) == [Section("A", (Heading("B", 3), second))]
    assert of(Heading("A"), Heading("B")) == [Section("A", ()), Section("B", ())]
    assert of() == []


def test_a_section_warns_where_there_are_cautions_alone() -> None:
    caution = CautionBox("x", "DANGER", "Keep out.")
    assert Section("A", (caution, caution)).warns
    assert not Section("A", (caution, Paragraph("More."))).warns
    assert not Section("A", ()).warns

"""Texts of a paper made plain: nothing that moves a cursor or turns a line, and figures kept with their units."""

from __future__ import annotations

import unicodedata
from dataclasses import replace

from hypothesis import HealthCheck, given, settings

from reports.document import Document, Paragraph, Picture
from reports.renderers.plainly import plainly
from tests.reports.renderers.papers import HOSTILE, every_block, hostile, papers

FORMAT = {"\u200c", "\u200d"}
"""Joiners that some scripts cannot be spelt without."""


def of(text: str) -> Document:
    return Document("shop", "en", "", "", "", "", (Paragraph(text),), "")


def test_a_plain_paper_is_left_as_it_is() -> None:
    assert plainly(every_block()) == every_block()


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(papers())
def test_no_control_or_direction_character_stays_in_any_text(paper: Document) -> None:
    made = plainly(paper)
    texts = repr([block for block in made.blocks if not isinstance(block, Picture)]) + repr((made.title, made.foot))
    assert not {char for char in texts if unicodedata.category(char) in ("Cc", "Cf")} - FORMAT
    assert "\\x" not in texts
    assert plainly(made) == made


def test_every_field_of_a_hostile_paper_is_cleaned() -> None:
    for name in ("terminal", "direction"):
        made = replace(plainly(hostile(HOSTILE[name])), blocks=plainly(hostile(HOSTILE[name])).blocks[:-3])
        assert not any(mark in repr(made) for mark in ("\\x1b", "\\x9b", "\\u202e", "\\u2066", "\\u200f"))


def test_a_number_keeps_to_its_unit_only_where_that_is_asked_for() -> None:
    text = "3350 ppm of 48 m³; 5 parts, 12 %."
    assert plainly(of(text)) == of(text)
    assert plainly(of(text), unbroken=True) == of("3350\u00a0ppm of 48\u00a0m³; 5 parts, 12\u00a0%.")
    us = of("10 000 US gal, each US gal.")
    assert plainly(us, unbroken=True) == of("10\u00a0000\u00a0US\u00a0gal, each US\u00a0gal.")

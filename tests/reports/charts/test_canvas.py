"""A drawing holds shapes and words alone, whatever text is put into it: nothing that runs or reaches out."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.plain_text import cleaned
from tests.reports.renderers.papers import HOSTILE, bars

NAMESPACE = "{http://www.w3.org/2000/svg}"
SHAPES = {"svg", "title", "desc", "rect", "text"}
"""All that the drawing of bars is made of."""
TEXTS = ("title", "desc", "text")
REACHING = [
    "<script>alert(1)</script>",
    '</text><image href="file:///etc/passwd"/><text>',
    '"/><rect onload="alert(1)',
    "' onclick='alert(1)",
    "]]><!-- & &amp; &#60;",
    "\x00\x1b\ud800\ufffe",
]


@pytest.mark.parametrize("text", [*REACHING, *HOSTILE.values()])
def test_hostile_text_is_shown_as_text(text: str) -> None:
    hold_to_the_law(text)


@given(st.text())
def test_any_text_is_shown_as_text(text: str) -> None:
    hold_to_the_law(text)


def hold_to_the_law(text: str) -> None:
    root = ElementTree.fromstring(bars(text))
    assert {element.tag.removeprefix(NAMESPACE) for element in root.iter()} <= SHAPES
    for element in root.iter():
        assert not [name for name in element.attrib if "href" in name or name.startswith("on") or name == "style"]
    title, told, label, *_ = [element.text or "" for element in root.iter() if element.tag[len(NAMESPACE) :] != "rect"][
        1:
    ]
    assert title == label == root.get("aria-label") == cleaned(text)
    assert told.split() == cleaned(f"{text} {text}").split()

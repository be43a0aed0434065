"""Drawings keep their shapes and words, and lose whatever could run, reach out or meet another drawing."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.renderers.drawing import SHAPES, drawing

NAMESPACE = "{http://www.w3.org/2000/svg}"
OPEN = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 10 10">'
REACHING = [
    "<script>alert(1)</script>",
    "<foreignObject><p>words</p></foreignObject>",
    '<image href="file:///etc/passwd"/>',
    '<use xlink:href="#x"/>',
    '<a href="https://example.invalid"><rect/></a>',
    "<style>rect { fill: url(https://example.invalid) }</style>",
    '<set attributeName="href" to="x"/>',
    '<rect onclick="alert(1)" onload="x"/>',
    '<rect style="fill: url(https://example.invalid)"/>',
    '<rect fill="url(https://example.invalid/#a)"/>',
    '<rect xlink:href="x" href="y"/>',
    '<p xmlns="http://www.w3.org/1999/xhtml">words</p>',
]


@pytest.mark.parametrize("inside", REACHING)
def test_nothing_that_runs_or_reaches_out_stays(inside: str) -> None:
    made = drawing(f'{OPEN}<rect width="3"/>{inside}</svg>', "a-")
    root = ElementTree.fromstring(made)
    assert {element.tag.removeprefix(NAMESPACE) for element in root.iter()} <= SHAPES
    for element in root.iter():
        assert not [name for name in element.attrib if "href" in name or name.startswith("on") or name == "style"]
    assert "example.invalid" not in made
    assert "passwd" not in made
    assert 'width="3"' in made


@pytest.mark.parametrize(
    "broken",
    [
        "",
        "<svg",
        "words",
        "<p/>",
        "<html><svg/></html>",
        '<!DOCTYPE svg [<!ENTITY a "aa">]><svg>&a;</svg>',
        "<svg>&a;</svg>",
    ],
)
def test_what_is_no_drawing_is_left_out(broken: str) -> None:
    assert drawing(broken, "") == ""


def test_a_drawing_is_as_wide_as_its_place_and_keeps_its_proportions() -> None:
    root = ElementTree.fromstring(drawing('<svg width="640px" height="96.5"><rect/></svg>', "a-"))
    assert root.attrib["viewBox"] == "0 0 640 96.5"
    assert not {"width", "height"} & set(root.attrib)


def test_ids_and_what_points_to_them_get_the_prefix() -> None:
    made = drawing(f'{OPEN}<defs><pattern id="slant"/></defs><rect fill="url(#slant)"/></svg>', "sheet-1-2-")
    assert 'id="sheet-1-2-slant"' in made
    assert 'fill="url(#sheet-1-2-slant)"' in made


def test_a_drawing_is_named_by_what_stands_beside_it() -> None:
    root = ElementTree.fromstring(drawing(f"{OPEN}</svg>", "p-"))
    assert (root.attrib["role"], root.attrib["aria-labelledby"], root.attrib["aria-describedby"]) == (
        "img",
        "p-title",
        "p-words",
    )


@given(st.text())
def test_any_text_gives_a_drawing_or_nothing(text: str) -> None:
    made = drawing(f"{OPEN}<text>{text}</text></svg>", "")
    assert (
        made == "" or {element.tag.removeprefix(NAMESPACE) for element in ElementTree.fromstring(made).iter()} <= SHAPES
    )

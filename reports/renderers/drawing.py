"""A drawing made fit to stand in a page or a paper: only shapes and words, no script, no reference to anything else."""

from __future__ import annotations

import re
from xml.etree import ElementTree

from engine.foundation.plain_text import cleaned

_SVG = "http://www.w3.org/2000/svg"
SHAPES = frozenset(
    {
        "svg", "g", "title", "desc", "defs", "marker", "pattern", "clipPath", "linearGradient", "stop",
        "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text", "tspan",
    }
)  # fmt: skip
"""Elements of SVG 1.1 that draw, or say what is drawn; whatever else stands in a drawing is left out."""
_REACHING_OUT = re.compile(r"href|^on|^style$|^class$|^xmlns", re.IGNORECASE)
"""Attributes that could lead elsewhere, run something, or hang on a style sheet that a paper has not."""
_POINTER = re.compile(r"url\(\s*['\"]?#([\w.-]+)['\"]?\s*\)")
_MAXIMUM = 500_000
"""Characters of a drawing; far more than any of ours, and too few to choke a reader."""


def drawing(svg: str, prefix: str) -> str:
    """The drawing with nothing in it but shapes and words, as wide as its place.

    Args:
        svg: a drawing, with its `viewBox` or its width and height.
        prefix: put before every id, so that two drawings in one page do not meet.

    Returns:
        The drawing as text, without a width of its own, named by what bears the ids `title` and `words` with the
        prefix; empty where it is none, so that its words must do.
    """
    if len(svg) > _MAXIMUM or "<!" in svg:  # no entities, hence nothing that swells or reads files
        return ""
    try:
        root = ElementTree.fromstring(svg)
    except ElementTree.ParseError:
        return ""
    if _name(root) != "svg":
        return ""
    kept = _kept(root, prefix)
    width, height = kept.attrib.pop("width", ""), kept.attrib.pop("height", "")
    if "viewBox" not in kept.attrib:
        kept.set("viewBox", f"0 0 {_number(width)} {_number(height)}")
    kept.attrib |= {"xmlns": _SVG, "role": "img"}
    kept.attrib |= {"aria-labelledby": f"{prefix}title", "aria-describedby": f"{prefix}words"}
    return ElementTree.tostring(kept, encoding="unicode")


def _kept(element: ElementTree.Element, prefix: str) -> ElementTree.Element:
    """A copy of the element with the shapes inside it and the attributes that stay inside the drawing."""
    copy = ElementTree.Element(_name(element))
    copy.text, copy.tail = _words(element.text), _words(element.tail)
    for name, value in element.attrib.items():
        if _REACHING_OUT.search(name) or "}" in name or "url(" in _POINTER.sub("", value):
            continue
        pointed = _POINTER.sub(lambda found: f"url(#{prefix}{found[1]})", value)
        copy.set(name, f"{prefix}{value}" if name == "id" else pointed)
    copy.extend(_kept(part, prefix) for part in element if isinstance(part.tag, str) and _name(part) in SHAPES)
    return copy


def _name(element: ElementTree.Element) -> str:
    """The element's name, where it is SVG's; empty where it is another language's."""
    space, _, name = element.tag.rpartition("}")
    return name if space in ("", "{" + _SVG) else ""


def _words(text: str | None) -> str | None:
    """Words without control or direction characters; the spaces at their ends are the drawing's own."""
    if not text or not text.strip():
        return text
    return f"{' ' * text[0].isspace()}{cleaned(text)}{' ' * text[-1].isspace()}"


def _number(length: str) -> str:
    """The number of a length such as `640px`; 100 where there is none."""
    found = re.match(r"\s*(\d+(?:\.\d+)?)", length)
    return found[1] if found else "100"

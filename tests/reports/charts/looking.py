"""A drawing looked at as a reader would: its texts with the room they take, its colours, what it is made of."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree import ElementTree

from reports.charts.lettering import width_of

SVG = "{http://www.w3.org/2000/svg}"
HARMLESS = {"svg", "title", "desc", "rect", "polyline", "polygon", "circle", "text"}
NARROW_PX = 340.0


@dataclass(frozen=True)
class Box:
    """What a text or a rectangle takes up."""

    text: str
    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        across = min(self.right, other.right) - max(self.left, other.left)
        return across > 0.5 and min(self.bottom, other.bottom) - max(self.top, other.top) > 0.5

    def holds(self, other: Box) -> bool:
        return (
            self.left <= other.left + 0.5
            and self.top <= other.top + 0.5
            and self.right >= other.right - 0.5
            and self.bottom >= other.bottom - 0.5
        )


def texts(svg: str) -> list[Box]:
    """Each text with its room: the width it may take at most, from 0.8 of its size above its line to 0.2 below."""
    return list(_texts(ElementTree.fromstring(svg)))


def letters(svg: str) -> str:
    """All that is written in a drawing, without spaces, in the order in which it is drawn."""
    return "".join("".join(box.text.split()) for box in texts(svg))


def boxes(svg: str) -> list[Box]:
    """Every rectangle."""
    found = []
    for element in ElementTree.fromstring(svg).iter(f"{SVG}rect"):
        left, top = float(element.get("x", 0)), float(element.get("y", 0))
        size = float(element.get("width", 0)), float(element.get("height", 0))
        found.append(Box("", left, top, left + size[0], top + size[1]))
    return found


def contrast(one: str, other: str) -> float:
    """The contrast ratio of two colours: WCAG 2.2, `relative luminance` and `contrast ratio` (from memory)."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def drawing_problems(svg: str, narrow: bool = True) -> list[str]:
    """Everything that would make this drawing hard or unsafe to read; none for a good one."""
    root = ElementTree.fromstring(svg)
    width, height = map(float, root.get("viewBox", "").split()[2:])
    page = Box("page", 0.0, 0.0, width, height)
    written = texts(svg)
    return [
        *(f"not inside: {box}" for box in written if not page.holds(box)),
        *(f"{a} meets {b}" for a, b in itertools.combinations(written, 2) if a.meets(b)),
        *(f"unknown: {e.tag}" for e in root.iter() if e.tag.removeprefix(SVG) not in HARMLESS),
        *(f"leads out: {name}" for e in root.iter() for name in e.attrib if "href" in name or name.startswith("on")),
        *(f"small: {e.text}" for e in root.iter(f"{SVG}text") if narrow and _pixels(e, width) < 9.0),
        *(f"covered: {text}" for disc in _discs(root) for text in written if _covers(disc, text)),
        *_pale(root),
    ]


def _texts(root: ElementTree.Element) -> Iterator[Box]:
    for element in root.iter(f"{SVG}text"):
        text, size = element.text or "", float(element.get("font-size", 0))
        x, y, width = float(element.get("x", 0)), float(element.get("y", 0)), width_of(text, size)
        left = x - {"start": 0.0, "middle": width / 2, "end": width}[element.get("text-anchor", "start")]
        yield Box(text, left, y - 0.8 * size, left + width, y + 0.2 * size)


def _discs(root: ElementTree.Element) -> Iterator[Box]:
    """The squares around the discs that hold a number."""
    for element in root.iter(f"{SVG}circle"):
        x, y, radius = (float(element.get(name, 0)) for name in ("cx", "cy", "r"))
        if radius >= 8.0:
            yield Box("", x - radius, y - radius, x + radius, y + radius)


def _covers(disc: Box, text: Box) -> bool:
    """Whether a disc lies on a text that is not its own number, which stands in its middle."""
    own = abs((text.left + text.right) / 2 - (disc.left + disc.right) / 2) < 0.1
    return disc.meets(text) and not own


def _pixels(element: ElementTree.Element, width: float) -> float:
    return float(element.get("font-size", 0)) * NARROW_PX / width


def _pale(root: ElementTree.Element) -> Iterator[str]:
    """Texts under 4.5 to 1, shapes under 3 to 1; light on dark is light on the darkest that is drawn."""
    for element in root.iter():
        colours = {element.get("fill", "none"), element.get("stroke", "none")} - {"none", "#ffffff"}
        least = 4.5 if element.tag == f"{SVG}text" else 3.0
        yield from (f"pale: {element.tag} {c}" for c in colours if contrast(c, "#ffffff") < least)


def _luminance(colour: str) -> float:
    channels = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

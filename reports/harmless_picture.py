"""A picture for the head of papers, from anybody's file: only what draws comes through, nothing that runs or fetches.

A PNG keeps its pixels, and loses every note in it (place, author, camera). An SVG is put together anew from known
shapes and properties; what else was in it is left out, and named.
"""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from xml.etree.ElementTree import Element, ParseError, tostring

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import fromstring

from engine.foundation.texts import say
from reports.letterhead import PNG_BEGINS

MOST_BYTES = 300_000
"""Of a picture's file: it goes into every paper, and papers are mailed. Judgement."""
MOST_PIXELS = 2000
"""Of a PNG's side: 48 mm of paper need 1134 at 600 dots to the inch; the rest is a margin. Judgement."""
_MOST_SHAPES, _DEEPEST = 3000, 40
"""Of an SVG: more than any shop's sign has, and little enough to be drawn at once. Judgement."""
_SVG = "{http://www.w3.org/2000/svg}"

_CHUNKS = frozenset({b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND"})
"""Chunks of a PNG without which it would look different; all others are notes. Source: PNG (W3C), 11.2, 11.3."""
_CHANNELS: Mapping[int, tuple[int, tuple[int, ...]]] = {
    0: (1, (1, 2, 4, 8, 16)),
    2: (3, (8, 16)),
    3: (1, (1, 2, 4, 8)),
    4: (2, (8, 16)),
    6: (4, (8, 16)),
}
"""Samples of a pixel, and the bits that one may have, by colour type. Source: PNG (W3C), table 12 (from memory)."""


def _named(names: str) -> frozenset[str]:
    return frozenset(names.split())


_SHAPES = _named(
    "svg g defs title desc path rect circle ellipse line polyline polygon text tspan"
    " linearGradient radialGradient stop clipPath"
)
"""Elements that come through. `use`, patterns and masks do not: a few of them can unfold to millions of shapes."""
_DRAWN = _named("path rect circle ellipse line polyline polygon text")
_PLACES = _named(
    "id viewBox width height x y x1 y1 x2 y2 cx cy r rx ry fx fy d points dx dy transform gradientTransform"
    " gradientUnits clipPathUnits spreadMethod offset preserveAspectRatio"
)
_LOOKS = _named(
    "fill fill-opacity fill-rule clip-rule clip-path stroke stroke-width stroke-opacity stroke-linecap stroke-linejoin"
    " stroke-miterlimit stroke-dasharray stroke-dashoffset opacity color stop-color stop-opacity font-family font-size"
    " font-weight font-style text-anchor letter-spacing display visibility"
)
"""Properties that may stand as attributes or in a style; each becomes an attribute."""
_QUIET = frozenset({"version", "class", "style"})
"""Attributes that are left out without a word: nothing of the look is lost by that."""
_VALUE = re.compile(
    r"[^\\<>&@;{}()]*(?:(?:rgba?|hsla?|matrix|translate|scale|rotate|skewX|skewY)\([^()]*\)[^()\\<>]*)*"
)
_LOCAL = re.compile(r"url\(\s*['\"]?#([\w.-]+)['\"]?\s*\)")
_RULE = re.compile(r"([^{}@]*)\{([^{}]*)\}")
_NUMBER = re.compile(r"(-?[0-9]*\.?[0-9]+)\s*(?:px|pt|mm|cm|in)?")
_FARTHEST = 1e6
"""Units of a drawing's plane, either way: what reckons in single precision loses nothing there. Judgement."""
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)


class PictureError(Exception):
    """A file that is no picture for papers; its text says why, and what to do."""


@dataclass(frozen=True)
class HarmlessPicture:
    """A picture that may stand on papers, and the names of what was left out of it."""

    content: bytes
    left_out: tuple[str, ...] = ()


def harmless(content: bytes) -> HarmlessPicture:
    """The picture of a file, PNG or SVG by how it begins, with nothing in it but what is drawn.

    Raises:
        PictureError: it is too large, neither of the two, broken, or nothing of it is left.
    """
    if len(content) > MOST_BYTES:
        raise PictureError(say("shop_command.picture.too_large", most=MOST_BYTES // 1000))
    if content.startswith(PNG_BEGINS):
        return HarmlessPicture(_png(content))
    return _svg(content)


def _png(content: bytes) -> bytes:
    """A PNG of the same pixels without its notes. Raises PictureError where a reader could not draw it."""
    chunks = list(_chunks(content))
    head = chunks[0][1] if chunks and chunks[0][0] == b"IHDR" else b""
    if len(head) != struct.calcsize(">IIBBBBB") or chunks[-1][0] != b"IEND":
        raise PictureError(say("shop_command.picture.broken"))
    width, height, bits, colour, _, _, interlaced = struct.unpack(">IIBBBBB", head)
    if not (1 <= width <= MOST_PIXELS and 1 <= height <= MOST_PIXELS):
        raise PictureError(say("shop_command.picture.too_many_pixels", most=MOST_PIXELS))
    if interlaced:
        raise PictureError(say("shop_command.picture.interlaced"))
    channels, may_have = _CHANNELS.get(colour, (0, ()))
    row = 1 + (width * channels * bits + 7) // 8
    if bits not in may_have or not _fills(b"".join(data for name, data in chunks if name == b"IDAT"), row, height):
        raise PictureError(say("shop_command.picture.broken"))
    if colour == 3 and not any(name == b"PLTE" for name, _ in chunks):
        raise PictureError(say("shop_command.picture.broken"))
    return PNG_BEGINS + b"".join(_chunk(name, data) for name, data in chunks if name in _CHUNKS)


def _chunks(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Each chunk's name and data, up to the end. Raises PictureError where one is cut or does not add up."""
    at = len(PNG_BEGINS)
    while at < len(content):
        size = int.from_bytes(content[at : at + 4], "big")
        name, data = content[at + 4 : at + 8], content[at + 8 : at + 8 + size]
        check = content[at + 8 + size : at + 12 + size]
        if len(check) < 4 or zlib.crc32(name + data) != int.from_bytes(check, "big"):
            raise PictureError(say("shop_command.picture.broken"))
        yield name, data
        if name == b"IEND":
            return
        at += 12 + size


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def _fills(packed: bytes, row: int, height: int) -> bool:
    """Whether packed rows are whole and of known filters; never more is unpacked than they may take."""
    try:
        rows = zlib.decompressobj().decompress(packed, row * height + 1)
    except zlib.error:
        return False
    return len(rows) == row * height and max(rows[::row]) <= 4


def _svg(content: bytes) -> HarmlessPicture:
    """An SVG of the known shapes alone. Raises PictureError where it is none, or nothing of it is left."""
    try:
        root = fromstring(content.decode("utf-8-sig"), forbid_dtd=False, forbid_entities=True, forbid_external=True)
    except (UnicodeDecodeError, ParseError, DefusedXmlException, ValueError) as error:
        raise PictureError(say("shop_command.picture.neither")) from error
    if root.tag != f"{_SVG}svg":
        raise PictureError(say("shop_command.picture.neither"))
    left_out: dict[str, None] = {}
    classes = _classes(root)
    made = _SvgCopy(classes, left_out).of(root, 0)
    box = _view_box(root)
    if made is None or box is None or not any(shape.tag in _DRAWN for shape in made.iter()):
        raise PictureError(say("shop_command.picture.nothing_left"))
    made.set("xmlns", _SVG.strip("{}"))
    made.set("viewBox", " ".join(f"{part:g}" for part in box))
    made.set("width", f"{box[2]:g}")
    made.set("height", f"{box[3]:g}")
    return HarmlessPicture(tostring(made, encoding="utf-8"), tuple(left_out))


class _SvgCopy:
    """What copies the known part of a drawing, and notes what it leaves out."""

    def __init__(self, classes: Mapping[str, Mapping[str, str]], left_out: dict[str, None]) -> None:
        self._classes = classes
        self._left_out = left_out
        self._shapes = 0

    def of(self, shape: Element, depth: int, clipping: bool = False) -> Element | None:
        """The element with its children, None where it is left out. Raises PictureError where there are too many."""
        self._shapes += 1
        if self._shapes > _MOST_SHAPES or depth > _DEEPEST:
            raise PictureError(say("shop_command.picture.too_many_shapes", most=_MOST_SHAPES))
        # Comments and instructions have no name; those of other makers' namespaces draw nothing.
        name = shape.tag.removeprefix(_SVG) if isinstance(shape.tag, str) else ""
        if name not in _SHAPES:
            if shape.tag == f"{_SVG}{name}" and name not in ("style", "metadata"):
                self._left_out[name] = None
            return None
        made = Element(name, dict(self._attributes(shape, clipping)))
        made.text, made.tail = shape.text, shape.tail
        children = [self.of(child, depth + 1, clipping or name == "clipPath") for child in shape]
        made.extend([child for child in children if child is not None])
        return made

    def _attributes(self, shape: Element, clipping: bool) -> Iterator[tuple[str, str]]:
        given = {name: value for name, value in shape.attrib.items() if "}" not in name}
        looks: dict[str, str] = {}
        for one in given.get("class", "").split():
            looks |= self._classes.get(one, {})
        for name, value in (given | looks | _declared(given.get("style", ""))).items():
            # One clipping inside another could be named again and again, and unfold.
            known = name in _PLACES or (name in _LOOKS and not (clipping and name == "clip-path"))
            if known and (harmless_value := _harmless_value(value)) is not None:
                yield name, harmless_value
            elif name in given and name not in _QUIET and not name.startswith(("data-", "aria-")):
                self._left_out[name] = None
        if any("}" in name and name.endswith("href") for name in shape.attrib):
            self._left_out["href"] = None


def _classes(root: Element) -> dict[str, dict[str, str]]:
    """The looks that style sheets inside the drawing give to each class; other rules are passed over."""
    found: dict[str, dict[str, str]] = {}
    for sheet in root.iter(f"{_SVG}style"):
        for names, rules in _RULE.findall(_COMMENT.sub("", sheet.text or "")):
            for name in (name.strip() for name in names.split(",")):
                if re.fullmatch(r"\.[\w-]+", name):
                    found.setdefault(name[1:], {}).update(_declared(rules))
    return found


def _declared(rules: str) -> dict[str, str]:
    pairs = (rule.partition(":") for rule in rules.split(";"))
    return {name.strip(): value.strip() for name, _, value in pairs if name.strip() in _LOOKS and value.strip()}


def _harmless_value(value: str) -> str | None:
    """A value that names nothing outside the drawing; None for any other."""
    if local := _LOCAL.match(value):
        return f"url(#{local[1]})"
    return value if _VALUE.fullmatch(value) else None


def _view_box(root: Element) -> tuple[float, float, float, float] | None:
    """What part of its plane a drawing shows: as it says, else as large as it says; None where neither can be."""
    stated = re.split(r"[\s,]+", root.get("viewBox", "").strip())
    if len(stated) != 4:
        stated = ["0", "0", root.get("width", ""), root.get("height", "")]
    numbers = [float(found[1]) for part in stated if (found := _NUMBER.fullmatch(part.strip()))]
    if len(numbers) != 4 or max(map(abs, numbers)) > _FARTHEST or min(numbers[2:]) < 1 / _FARTHEST:
        return None
    return numbers[0], numbers[1], numbers[2], numbers[3]

"""A picture from anybody's file: what is drawn stays, what runs, fetches or floods does not."""

from __future__ import annotations

import io
import re
from xml.etree import ElementTree

import pytest
from PIL import Image, PngImagePlugin

from reports.harmless_picture import MOST_BYTES, MOST_PIXELS, PictureError, harmless

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 40 20"'
BODY = '<rect id="kept" width="40" height="20" fill="#0a6"/>'
HOSTILE = {
    "script": "<script>alert(1)</script>",
    "script of another namespace": '<h:script xmlns:h="http://www.w3.org/1999/xhtml">alert(1)</h:script>',
    "event": '<circle r="1" onclick="alert(1)" ONLOAD="alert(1)"/>',
    "link": '<a xlink:href="javascript:alert(1)"><text>x</text></a>',
    "image": '<image href="http://x.invalid/a.png" width="1" height="1"/>',
    "use of a file": '<use href="http://x.invalid/a.svg#b"/>',
    "page inside": '<foreignObject><p xmlns="http://www.w3.org/1999/xhtml">x</p></foreignObject>',
    "animation": '<rect width="1" height="1"><set attributeName="href" to="javascript:alert(1)"/></rect>',
    "style that fetches": "<style>@import url(http://x.invalid/a.css); rect{fill:url(http://x.invalid/#a)}</style>",
    "fill that fetches": '<rect width="1" height="1" fill="url(http://x.invalid/#a)"/>',
    "fill that fetches by class": '<style>.c{fill:url("//x.invalid")}</style><rect class="c" width="1" height="1"/>',
    "fill that hides what it does": r'<rect width="1" height="1" style="fill:\75rl(http://x.invalid)"/>',
    "address of a base": '<g xml:base="http://x.invalid/"><rect width="1" height="1" fill="#a"/></g>',
}
RUNS_OR_FETCHES = {"script", "a", "image", "use", "foreignObject", "set", "animate", "style", "iframe", "feImage"}
"""Source: SVG 2 (W3C), chapters 5, 12, 15 and 16: elements that embed, link, run, or change what is there."""


def svg(inside: str, head: str = HEAD) -> bytes:
    return f"{head}>{BODY}{inside}</svg>".encode()


def png(mode: str = "RGBA", size: tuple[int, int] = (30, 20), **more: object) -> bytes:
    made = io.BytesIO()
    Image.effect_noise(size, 90).convert(mode).save(made, "PNG", **more)
    return made.getvalue()


@pytest.mark.parametrize("inside", HOSTILE.values(), ids=HOSTILE)
def test_nothing_that_runs_or_fetches_comes_through_an_svg(inside: str) -> None:
    made = harmless(svg(inside, f'{HEAD} onload="alert(1)"')).content.decode()
    root = ElementTree.fromstring(made)
    names = {element.tag.rpartition("}")[2] for element in root.iter()}
    attributes = {name.rpartition("}")[2] for element in root.iter() for name in element.attrib}
    assert not names & RUNS_OR_FETCHES
    assert not {name for name in attributes if name.lower().startswith("on") or name in ("href", "base")}
    assert not re.findall(r"x\.invalid|javascript|url\((?!#)|\\", made)
    assert root.find(".//*[@id='kept']") is not None


def test_the_look_stays_whether_it_is_said_by_attribute_class_or_style() -> None:
    ways = '<style>.c,.d{fill:#123}</style><g fill="#123"/><g class="c"/><g style="fill: #123"/>'
    root = ElementTree.fromstring(harmless(svg(ways)).content)
    assert [element.get("fill") for element in root.findall(".//{*}g")] == ["#123"] * 3


def test_it_says_what_it_left_out() -> None:
    assert {"script", "onload"} <= set(harmless(svg(HOSTILE["script"], f'{HEAD} onload="x"')).left_out)
    assert harmless(svg("")).left_out == ()


BOMB = '<!DOCTYPE svg [<!ENTITY a "xxxx"><!ENTITY b "&a;&a;">]>'
REFUSED = {
    "empty": b"",
    "text": b"a picture",
    "page": b"<html/>",
    "entities": BOMB.encode() + svg("<text>&b;</text>"),
    "cut": svg("")[:-9],
    "other letters": svg("").decode().encode("utf-16"),
    "nothing drawn": f"{HEAD}></svg>".encode(),
    "no size": b'<svg xmlns="http://www.w3.org/2000/svg"><rect width="4" height="4"/></svg>',
    "size of nothing": b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 0 9"><path d="M0 0h9"/></svg>',
    "too deep": svg("<g>" * 500 + "</g>" * 500),
    "too many": svg("<g/>" * 10_000),
    "too large": svg("<g/>" * (MOST_BYTES // 4)),
    "PNG cut": png()[:-20],
    "PNG with a byte turned": png()[:60] + b"\xff" + png()[61:],
    "PNG of too many pixels": png("1", (MOST_PIXELS + 1, 1)),
}


@pytest.mark.parametrize("content", REFUSED.values(), ids=REFUSED)
def test_what_is_no_picture_is_refused_with_what_to_do(content: bytes) -> None:
    with pytest.raises(PictureError, match=r"save (it|a smaller one|a simpler one)"):
        harmless(content)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "I;16"])
def test_a_png_keeps_its_pixels_and_loses_its_notes(mode: str) -> None:
    notes = PngImagePlugin.PngInfo()
    notes.add_text("Author", "somebody")
    before = png(mode, pnginfo=notes)
    after = harmless(before).content
    assert b"somebody" in before
    assert b"somebody" not in after
    with Image.open(io.BytesIO(before)) as old, Image.open(io.BytesIO(after)) as new:
        assert (new.mode, new.size, new.tobytes()) == (old.mode, old.size, old.tobytes())


def test_rows_that_a_reader_could_not_unpack_are_refused() -> None:
    """The sums are right, and there are fewer rows than it says."""
    import struct
    import zlib

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", 4, 4, 8, 0, 0, 0, 0)
    for rows in (b"\0" * 15, b"\0" * 21, b"\x09" * 20):
        made = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
        with pytest.raises(PictureError):
            harmless(made)

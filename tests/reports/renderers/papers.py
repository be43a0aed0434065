"""Documents for the tests of forms: one with every kind of block, one that is hostile everywhere, and any at random."""

from __future__ import annotations

from hypothesis import strategies as st

from engine.foundation.text_catalog import ENGLISH
from reports.charts.canvas import Canvas
from reports.document import (
    Audience,
    Blanks,
    Block,
    CautionBox,
    Document,
    Heading,
    Items,
    NewPage,
    Pairs,
    Paragraph,
    Picture,
    Table,
    Work,
)
from reports.letterhead import Letterhead

HOSTILE = {
    "markup": "<script>alert(1)</script><img src=x onerror=alert(2)> & 'quotes' \"double\" </style></title>",
    "templates": "{{ 7 * 7 }}{% for x in y %}{# gone #}${7*7}#{7*7}",
    "typesetting": '#read("/etc/passwd") #include "x" $x^2$ @ref <label> \\ ~ -- _a_ *b* `c` = d // e /* f */',
    "markdown": "# A [link](https://example.invalid) ![x](y) **bold** <b> &amp; | ~~x~~ 1. a\\",
    "style sheet": '"; } body { display: none } @import url(https://example.invalid/x.css); \\22',
    "terminal": "\x1b[2J\x1b[31mred\x07\x00\x9b1m",
    "direction": "\u202egnp.exe\u2066 \u200f\u061c",
    "lines": "A\n\n# HEADING\n-------\r\n    code\n\n> quote\n- item",
    "long": "x" * 10_000,
    "long words": "scale " * 1_700,
    "wide": "水泳" * 2_500,
}
"""Text that means something to one machine or another; on paper it means itself."""


SIGN = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 3" width="9" height="3"><path d="M0 0h9v3z"/></svg>'
"""A shop's picture."""


def bars(text: str) -> str:
    """A drawing of bars with this text in it."""
    canvas = Canvas()
    canvas.text(0, 26, text)
    canvas.box(260, 12, 100, 18, fill="#0c4a5a")
    canvas.paragraph(0, 40, text, 200)
    return canvas.svg(96, text, (text, text))


_BARS = bars("Calcium scale on the plates: 86 %")

_WORK = Work(
    1,
    "Acid clean the cell",
    ("Who: technician. About 45 minutes. The result shows at once.", "2.2 L of mix, about 3 % acid."),
    ("Isolate, lock, wait ten minutes.", "Lift the cell out; rinse off what is loose.", "Stop when the fizz stops."),
    "Done when the plates are clean and the current is back in its range.",
    ticked=True,
)

_BLOCKS: tuple[Block, ...] = (
    Paragraph("Clean the cell here, today.", "lead"),
    Paragraph("Very likely, 86 %: calcium scale on the plates."),
    Pairs((("Complaint", "Unit reports low salt."), ("Unit", "Mid-size low-voltage unit, single gap"))),
    Heading("As found"),
    Table(
        ("What", "Reading", "Judged", "By"),
        (
            ("Salt by an independent test", "3350 ppm", "right", "test kit"),
            ("DC amperes to the cell", "11.5 A", "low", "meter"),
            ("Cell plates", "white scale", "", "seen inside"),
        ),
        right=(1,),
    ),
    Paragraph("Cell constant 0.332 /m, 1.9 times the clean 0.179 /m.", "small"),
    Heading("Worked out", 3),
    Items((("The unit reads low", "2450 ppm shown over 3350 ppm tested"), ("Cell constant raised", ""))),
    Heading("Before anything is done, read this"),
    CautionBox("acid_never_with_chlorine", "DANGER", "Never let acid meet any chlorine product. The gas can kill."),
    CautionBox("acid_into_water", "WARNING", "Acid into water, slowly, never water into acid. It burns eyes and skin."),
    CautionBox("spent_acid", "CAUTION", "Neutralise spent acid with bicarbonate until no more fizz."),
    CautionBox(
        "no_scraping", "NOTICE", "No scraping, no metal brush. It takes the coating, and the coating is the cell."
    ),
    Heading("Order of work"),
    _WORK,
    Work(2, "Set the output", (), ("Set it to 70 %.",), "", ticked=False),
    Heading("How the causes rank"),
    Picture("How likely each cause is", _BARS, ("Calcium scale on the plates: 86 %", "Chlorine used up: 13 %")),
    NewPage(),
    Heading("Parts and amounts"),
    Items((("Cleaning acid: 0.2 L", "Never carry it beside chlorine."), ("Bicarbonate: about 159 g", "")), "tick"),
    Items((("First the water.", ""), ("Then the acid.", "")), "number"),
    Heading("Handed over"),
    Blanks((("Current", 8, "A"), ("Technician", 24, ""), ("Date", 12, ""))),
)


def every_block(audience: Audience = "technician") -> Document:
    """A paper with every kind of block in it."""
    return Document(
        audience, ENGLISH, "Ninth Heron Pool Shop", "2026-05-04", "job-7", "Chlorinator job sheet", _BLOCKS,
        "Local code, product label and the unit's handbook take precedence over this sheet.",
    )  # fmt: skip


def hostile(text: str) -> Document:
    """A paper with this text in every field that takes one."""
    twice = (text, text)
    blocks: tuple[Block, ...] = (
        Paragraph(text, "lead"),
        Heading(text),
        Heading(text, 3),
        Paragraph(text),
        Paragraph(text, "small"),
        *(Items((twice,), mark) for mark in ("point", "number", "tick")),
        Pairs((twice,)),
        Table((*twice, text), ((*twice, text),), right=(1,)),
        CautionBox(text, "DANGER", text),
        Work(1, text, (text,), twice, text, ticked=True),
        Picture(text, _BARS, twice),
        Picture(text, bars(text), twice),
        Blanks(((text, 9, text),)),
    )
    shop = Letterhead(text, text, text, text, text, text, SIGN)
    return Document("technician", ENGLISH, text, text, text, text, blocks, text, letterhead=shop)


_TEXTS = st.one_of(st.sampled_from(sorted(HOSTILE.values(), key=len)[:8]), st.text(max_size=40))
_PAIRS = st.tuples(_TEXTS, _TEXTS)
_MANY = st.lists(_TEXTS, max_size=3).map(tuple)


def _tables() -> st.SearchStrategy[Table]:
    def of(width: int) -> st.SearchStrategy[Table]:
        row = st.tuples(*[_TEXTS] * width)
        return st.builds(Table, row, st.lists(row, max_size=3).map(tuple), st.sampled_from([(), (width - 1,)]))

    return st.integers(1, 5).flatmap(of)


_ANY: st.SearchStrategy[Block] = st.one_of(
    st.builds(Heading, _TEXTS, st.sampled_from([2, 3])),
    st.builds(Paragraph, _TEXTS, st.sampled_from(["plain", "lead", "small"])),
    st.builds(Items, st.lists(_PAIRS, max_size=3).map(tuple), st.sampled_from(["point", "number", "tick"])),
    st.builds(Pairs, st.lists(_PAIRS, max_size=3).map(tuple)),
    _tables(),
    st.builds(CautionBox, _TEXTS, st.sampled_from(["DANGER", "WARNING", "CAUTION", "NOTICE"]), _TEXTS),
    st.builds(Work, st.integers(1, 20), _TEXTS, _MANY, _MANY, _TEXTS, st.booleans()),
    st.builds(Picture, _TEXTS, _TEXTS.map(bars), _MANY),
    st.builds(Blanks, st.lists(st.tuples(_TEXTS, st.integers(1, 40), _TEXTS), max_size=3).map(tuple)),
    st.just(NewPage()),
)


def papers() -> st.SearchStrategy[Document]:
    """Any paper: blocks in any order, with any text."""
    audiences = st.sampled_from(["technician", "customer", "shop"])
    blocks = st.lists(_ANY, max_size=8).map(tuple)
    return st.builds(Document, audiences, st.just(ENGLISH), _TEXTS, _TEXTS, _TEXTS, _TEXTS, blocks, _TEXTS)

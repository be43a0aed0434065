"""The plain form: no line over its width, no word cut, every text of every block there, cautions in boxes."""

from __future__ import annotations

import pytest
import wcwidth
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from reports.document import Blanks, Block, CautionBox, Document, Heading, Items, NewPage, Pairs, Paragraph, Table, Work
from reports.renderers.text import RECEIPT, text_form
from tests.example_counts import up_to
from tests.reports.renderers.papers import HOSTILE, every_block, hostile, papers

WIDTHS = [80, RECEIPT]
SLOW = settings(max_examples=up_to(40), deadline=None, suppress_health_check=[HealthCheck.too_slow])


def paper(*blocks: Block) -> Document:
    return Document("technician", "en", "Shop", "2026-05-04", "job-7", "Sheet", blocks, "Foot")


def body(*blocks: Block, columns: int = 80) -> list[str]:
    """What stands between the head and the foot."""
    lines = text_form((paper(*blocks),), columns).splitlines()
    rules = [place for place, line in enumerate(lines) if line == "=" * columns]
    return lines[rules[0] + 1 : rules[-1] - 1]


def squeezed(text: str) -> str:
    """A text without spaces, nor the bars of boxes and tables that lie between its words."""
    return "".join(char for char in text if char not in "|+-=_" and not char.isspace())


# Columns are counted by the wcwidth library, which follows Unicode Standard Annex 11.
@SLOW
@given(st.lists(papers(), min_size=1, max_size=2), st.integers(24, 100))
def test_no_line_is_wider_than_the_paper_and_none_ends_in_space(documents: list[Document], width: int) -> None:
    printed = text_form(tuple(documents), width)
    assert all(0 <= wcwidth.wcswidth(line) <= width for line in printed.splitlines() if line)
    assert all(line == line.rstrip() for line in printed.splitlines())
    assert printed.endswith("\n")


@SLOW
@given(papers())
def test_nothing_that_a_printer_would_obey_is_printed(document: Document) -> None:
    printed = text_form((document,))
    assert all(char.isprintable() or char in "\n\u200c\u200d" for char in printed)


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
@pytest.mark.parametrize("width", WIDTHS)
def test_hostile_text_stays_text(text: str, width: int) -> None:
    printed = text_form((hostile(text),), width)
    assert all(wcwidth.wcswidth(line) <= width for line in printed.splitlines())
    assert "49" not in printed
    assert squeezed("".join(char for char in text if char.isprintable())) in squeezed(printed)


WORDS = st.lists(st.text("abcdefgh", min_size=1, max_size=12), min_size=1, max_size=30).map(" ".join)


@SLOW
@given(WORDS, st.sampled_from(WIDTHS))
def test_no_word_is_cut_in_any_block(text: str, width: int) -> None:
    blocks: list[Block] = [
        Paragraph(text),
        Paragraph(text, "small"),
        Items(((text, text),), "tick"),
        Pairs(((text, text), ("short", text))),
        Table(("a", "b", "c"), ((text, text, "+1"),), right=(2,)),
        CautionBox("c", "WARNING", text),
        Work(1, text, (text,), (text,), text, ticked=True),
    ]
    wanted = set(text.split())
    for block in blocks:
        printed = " ".join(body(block, columns=width))
        assert wanted <= {word.rstrip(":") for word in printed.split()}


@pytest.mark.parametrize("width", WIDTHS)
def test_every_text_of_every_kind_of_block_is_printed(width: int) -> None:
    document = every_block()
    printed = squeezed(text_form((document,), width)).lower()
    texts = [document.shop, document.date, document.job, document.title, document.foot]
    for block in document.blocks:
        match block:
            case Heading(text) | Paragraph(text):
                texts.append(text)
            case Items(items):
                texts += [text for item in items for text in item]
            case Pairs(pairs):
                texts += [text for pair in pairs for text in pair]
            case CautionBox(_, signal, text):
                texts.append(signal + text)
            case Work(_, title, about, steps, done_when):
                texts += [title, *about, *steps, done_when]
            case Blanks(blanks):
                texts += [label for label, _, _ in blanks]
            case _:
                continue
    assert [text for text in texts if squeezed(text).lower() not in printed] == []


def test_a_caution_stands_in_a_closed_box_that_begins_with_its_signal_word() -> None:
    lines = body(CautionBox("x", "DANGER", "Never let them meet. " * 9))
    assert {len(line) for line in lines} == {80}
    assert lines[0] == lines[-1] == f"+{'=' * 78}+"
    assert lines[1].startswith("| DANGER ")
    assert all(line.startswith("| ") and line.endswith(" |") for line in lines[1:-1])


def test_the_gravest_caution_has_a_border_of_its_own() -> None:
    # The signal word tells them apart already (ANSI Z535.4); the border is for whoever only glances.
    danger, warning = (body(CautionBox("x", signal, "Text."))[0] for signal in ("DANGER", "WARNING"))
    assert danger != warning


def test_a_table_has_its_figures_at_the_right_and_its_columns_below_their_names() -> None:
    lines = body(Table(("Finding", "1"), (("white scale", "+11"), ("salt", "-3")), right=(1,)))
    assert lines == ["Finding        1", "-----------  ---", "white scale  +11", "salt          -3"]


def test_a_table_too_wide_for_the_paper_is_told_row_by_row() -> None:
    lines = body(Table(("Part", "Take", "Read"), (("Salt " * 5, "Much " * 5, "Pack " * 5),)), columns=42)
    assert lines[0].startswith("- Salt")
    assert any(line.startswith("  Take: Much") for line in lines)
    assert any(line.startswith("  Read: Pack") for line in lines)


def test_work_that_is_ticked_has_a_box_a_step_and_other_work_one_box() -> None:
    ticked, plain = (
        "\n".join(body(Work(1, "Clean", (), ("One.", "Two."), "", ticked=ticked))) for ticked in (True, False)
    )
    assert (ticked.count("[ ]"), plain.count("[ ]")) == (3, 1)


def test_a_blank_is_written_before_its_unit_and_fits_the_paper() -> None:
    assert body(Blanks((("Salt", 6, "ppm"), ("pH", 6, "")))) == ["Salt ______ ppm   pH ______"]
    assert body(Blanks((("Because", 90, ""),))) == [f"Because {'_' * 71}"]


def test_papers_and_pages_are_parted_by_a_line_and_an_empty_block_leaves_no_gap() -> None:
    one = paper(Heading("A"), Items(()), Paragraph("b"), NewPage(), Heading("C"))
    printed = text_form((one, one))
    assert printed.count("\n- - - -") == 1
    assert printed.count(f"\n{'=' * 80}\n") == 6
    assert "\n\n\n" not in printed


def test_a_number_is_not_parted_from_its_unit_in_a_narrow_column() -> None:
    lines = body(Table(("What", "How much"), (("x " * 30, "about 700 mL of it"),)), columns=42)
    assert any("700 mL" in line for line in lines)

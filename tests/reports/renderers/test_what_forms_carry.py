"""Every form carries what the table in `reports/README.md` says, over jobs at any moment."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

import pytest
from hypothesis import HealthCheck, given, settings

from engine.knowledge.model import RoleId
from engine.session.journal import Event
from engine.session.session import Session
from reports.document import (
    Audience,
    Blanks,
    Block,
    CautionBox,
    Document,
    Heading,
    Items,
    Pairs,
    Paragraph,
    Picture,
    Table,
    Work,
)
from reports.letterhead import Letterhead
from reports.phrases import percent
from reports.renderers.data import data_form
from reports.renderers.html import html_form
from reports.renderers.markdown import markdown_form
from reports.renderers.pdf import pdf_form
from reports.renderers.text import text_form
from reports.sheets.choose import sheets, view_for
from reports.view import JobView
from tests.reports.jobs import AT, DATE, answers, job, jobs, opened
from tests.reports.renderers.papers import every_block
from tests.reports.renderers.reading import in_json, in_markdown, in_pdf, in_text, page, squeezed
from tests.reports.test_golden_sheets import SHEETS

_Kind = TypeVar("_Kind", bound=Block)
README = Path(__file__).parents[3] / "reports" / "README.md"
SHOP = Letterhead(
    "Blue & <Clear> Pools", "555 0100", "12 Harbour Road, Millport", "P-4711", "Mon-Fri 8-17", "*Thank* you.", b"<svg/>"
)
SLOW = settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


@dataclass(frozen=True)
class Job:
    """One job with the papers printed of it: for its own role, and the technician's; each with the view behind it."""

    views: tuple[JobView, ...]
    papers: tuple[Document, ...]


def printed(session: Session) -> Job:
    views = (view_for(session, DATE, letterhead=SHOP), view_for(session, DATE, "technician", letterhead=SHOP))
    readers: tuple[Audience | None, ...] = (None, "technician")
    return Job(views, tuple(p for one in readers for p in sheets(session, DATE, one, letterhead=SHOP, annex=True)))


FORMS: Mapping[str, Callable[[Job], str]] = {
    "text 80": lambda job: in_text(text_form(job.papers)),
    "text 42": lambda job: in_text(text_form(job.papers, 42)),
    "HTML": lambda job: page(html_form(job.papers)).text,
    "PDF": lambda job: in_pdf(pdf_form(job.papers, "letter")),
    "Markdown": lambda job: in_markdown(markdown_form(job.papers)),
    "JSON": lambda job: in_json(data_form(job.papers, job.views[0])),
}
EACH_FORM = [pytest.param(form, marks=pytest.mark.e2e) if form == "PDF" else form for form in FORMS]
"""The forms for a test of each; a PDF is read back by another program."""


def blocks(job: Job, kind: type[_Kind]) -> Iterator[_Kind]:
    return (block for paper in job.papers for block in paper.blocks if isinstance(block, kind))


def of_papers(pick: Callable[[Document], Iterable[str]]) -> Callable[[Job], list[str]]:
    return lambda job: [text for paper in job.papers for text in pick(paper)]


def shop_date_job(job: Job) -> list[str]:
    told = (SHOP.name, SHOP.telephone, SHOP.address, SHOP.licence, SHOP.hours, SHOP.closing)
    return [text for view in job.views for text in (*told, view.head.date, view.head.job)]


def cautions(job: Job) -> list[str]:
    """Every caution of the view."""
    lines = [line for view in job.views for line in view.cautions]
    boxes = [block.signal + block.text for block in blocks(job, CautionBox)]
    return [line.signal + line.text for line in lines] + boxes


def decision(job: Job) -> list[str]:
    return [view.decision.title for view in job.views]


def ranking(job: Job) -> list[str]:
    """The technician's ranking."""
    lines = job.views[1].causes
    return [line.text for line in lines] + [percent(line.probability) for line in lines]


def evidence(job: Job) -> list[str]:
    return [one.said for cause in job.views[1].causes[:3] for one in (*cause.speaks_for[:3], *cause.speaks_against[:1])]


def parts(job: Job) -> list[str]:
    return [text for part in job.views[1].parts for text in (part.name, part.amount.text)]


def steps(job: Job) -> list[str]:
    return [text for work in blocks(job, Work) for text in (work.title, *work.about, *work.steps)]


def done_when(job: Job) -> list[str]:
    return [work.done_when for work in blocks(job, Work)]


def running_text(job: Job) -> list[str]:
    items = [text for block in blocks(job, Items) for item in block.items for text in item]
    return [block.text for block in blocks(job, Paragraph)] + items


def cells(job: Job) -> list[str]:
    return [cell for table in blocks(job, Table) for row in (table.columns[1:], *table.rows) for cell in row]


ROWS: Mapping[str, Callable[[Job], list[str]]] = {
    "shop with all that it tells of itself, date, job": shop_date_job,
    "title of the paper": of_papers(lambda paper: [paper.title]),
    "each caution of the job, its signal word with its text": cautions,
    "decision": decision,
    "each cause of the ranking with its chance": ranking,
    "each piece of evidence": evidence,
    "each part with its amount": parts,
    "each piece of work and each of its steps": steps,
    "when each piece of work is done": done_when,
    "what is waited for": lambda job: [line.text for view in job.views for line in view.waiting],
    "headings": lambda job: [block.text for block in blocks(job, Heading)],
    "paragraphs, items and their asides": running_text,
    "labels with their values": lambda job: [t for block in blocks(job, Pairs) for pair in block.pairs for t in pair],
    "cells of tables, names of their columns but the first": cells,
    "drawings in words": lambda job: [t for block in blocks(job, Picture) for t in (block.title, *block.words)],
    "blanks with their units, signatures among them": lambda job: [
        text for block in blocks(job, Blanks) for label, _, unit in block.blanks for text in (label, unit)
    ],
    "foot": of_papers(lambda paper: [paper.foot]),
}
BOXES = "boxes to tick"
MARKS = {"text 80": "[ ]", "text 42": "[ ]", "PDF": "☐", "Markdown": "[ ]"}


def boxes(job: Job) -> int:
    ticked = sum(len(block.items) for block in blocks(job, Items) if block.mark == "tick")
    return ticked + sum(1 + len(work.steps) * work.ticked for work in blocks(job, Work))


def told() -> dict[str, dict[str, str]]:
    """The table of the README: what, then how each form carries it."""
    lines = README.read_text(encoding="utf-8").split("## What each form must carry")[1].splitlines()
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if line.startswith("|")]
    return {row[0]: dict(zip(rows[0][1:], row[1:], strict=True)) for row in rows[2:]}


TOLD = told()


def lacking(job: Job, form: str) -> list[tuple[str, str]]:
    """What the form owes and does not carry."""
    shown = FORMS[form](job)
    whole, words = squeezed(shown), set(_words(shown))
    found = []
    for what, owed in ROWS.items():
        for text in (text for text in owed(job) if readable(text, form)):
            how = TOLD[what][form]
            is_there = squeezed(text) in whole if how == "whole" else set(_words(text)) <= words
            if how != "-" and not is_there:
                found.append((what, text))
    return found


def _words(text: str) -> list[str]:
    return re.findall(r"\w+", text.casefold())


def readable(text: str, form: str) -> bool:
    """Whether it can be read back: a PDF keeps what its fonts lack, and what runs right to left, in its own way."""
    return form != "PDF" or all(ord(char) < 0x17F for char in text)


def box_count(job: Job, form: str) -> int:
    if form == "HTML":
        return len(page(html_form(job.papers)).boxes)
    return FORMS[form](job).count(MARKS[form])


def test_the_table_names_every_form_and_every_row_is_tested() -> None:
    assert {*ROWS, BOXES} == set(TOLD)
    for row in TOLD.values():
        assert set(row) == set(FORMS)
        assert set(row.values()) <= {"whole", "words", "count", "-"}
    assert all(TOLD[BOXES][form] == "count" for form in FORMS if form != "JSON")


def test_every_form_carries_every_caution_whole() -> None:
    assert set(TOLD["each caution of the job, its signal word with its text"].values()) == {"whole"}


@pytest.mark.parametrize("form", [form for form in FORMS if form != "PDF"])
@SLOW
@given(session=jobs())
def test_every_form_carries_what_the_table_says(form: str, session: Session) -> None:
    assert lacking(printed(session), form) == []


@pytest.mark.e2e
@pytest.mark.parametrize("form", EACH_FORM)
@pytest.mark.parametrize("name", SHEETS)
def test_the_kept_sheets_are_carried_whole_with_their_boxes(name: str, form: str) -> None:
    job = printed(SHEETS[name]())
    assert lacking(job, form) == []
    if TOLD[BOXES][form] == "count":
        assert box_count(job, form) == boxes(job)


@pytest.mark.parametrize("form", EACH_FORM)
@pytest.mark.parametrize("role", ["field", "counter"])
def test_what_was_put_off_is_carried_whole(role: RoleId, form: str) -> None:
    salt = [*opened(role, "low-salt"), *answers(tested_salt=2500.0)]
    later = [Event("deferred", AT, about=name, text="on saturday") for name in ("add_salt", "ph", "cell_plates")]
    made = printed(job(*salt, *later))
    assert len(made.views[0].waiting) == 3
    assert lacking(made, form) == []


@pytest.mark.parametrize("form", [form for form in EACH_FORM if form != "JSON"])
def test_a_paper_with_every_kind_of_block_is_carried_whole(form: str) -> None:
    job = Job((), (every_block(), every_block("customer")))
    shown = squeezed(FORMS[form](job))
    texts = [*running_text(job), *steps(job), *done_when(job)]
    texts += [block.signal + block.text for block in blocks(job, CautionBox)]
    assert [text for text in texts if squeezed(text) not in shown] == []
    assert box_count(job, form) == boxes(job)


@pytest.mark.parametrize("form", EACH_FORM)
def test_the_test_itself_finds_a_lost_caution(form: str) -> None:
    whole = printed(SHEETS["all-tested-counter"]())
    lost = Job(tuple(view_without_cautions(view) for view in whole.views), tuple(map(without_cautions, whole.papers)))
    shown = squeezed(FORMS[form](lost))
    assert [text for text in cautions(whole) if squeezed(text) not in shown]


def without_cautions(paper: Document) -> Document:
    return replace(paper, blocks=tuple(block for block in paper.blocks if not isinstance(block, CautionBox)))


def view_without_cautions(view: JobView) -> JobView:
    return replace(view, cautions=())


@pytest.mark.e2e
def test_steps_go_on_with_their_numbers_behind_a_caution() -> None:
    box = CautionBox("x", "DANGER", "It can kill.")
    parted = (Items((("Off.", ""), ("Wait.", "")), "number"), box, Items((("Open.", ""),), "number", 3))
    document = Document("customer", "en", "Shop", "", "", "Title", (Heading("Steps"), *parted), "")
    assert " 3. Open." in text_form((document,))
    assert "\n3. Open." in markdown_form((document,))
    assert '<ol class="number" start="3">' in html_form((document,))
    assert "3.open." in squeezed(in_pdf(pdf_form((document,))))

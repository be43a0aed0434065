"""The job sheet of a session, in each form and in the file that is wished for."""

from __future__ import annotations

import json
import os
import stat
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import get_args

import pytest

from engine.session.session import Session
from interview.command_line.job_sheet import JobSheet, keep_sheet
from interview.command_line.output import (
    ENDINGS,
    Form,
    RenderOptions,
    SheetError,
    print_paper,
    refuse_early,
    write_paper,
)
from interview.command_line.targets import Inputs
from tests.interview.people import PaperSheet, opened
from tests.shipped import models

DAY = date(2026, 5, 4)
NOTHING = Inputs()
FORMS: tuple[Form, ...] = get_args(Form)
BEGINS: dict[Form, bytes] = {
    "csv": b"job,date,customer",
    "html": b"<!doctype html>",
    # ISO 32000-1, 7.5.2: a file begins with %PDF- and its version.
    "pdf": b"%PDF-",
    "json": b"{",
    "markdown": b"# ",
    "text": b"Your pool shop",
}


def sheet(wish: RenderOptions | None = None) -> JobSheet:
    begun = opened(Session(models()), ("role", "field"), ("danger_now", "none"), ("unit", "default"))
    return JobSheet(opened(begun, ("complaint", "no-output"), ("cell_plates", "white_scale")), DAY, wish=wish)


def test_a_sheet_is_text_and_data_of_the_same_decision() -> None:
    made = sheet()
    assert "2026-05-04" in made.text()
    assert all(len(line) <= 80 for line in made.text().splitlines())
    assert all(len(line) <= 42 for line in made.text(42).splitlines())
    data = json.loads(json.dumps(made.data()))
    assert data["decision"]["decision"] == made.decision()
    assert made.headline().endswith(".")


@pytest.mark.parametrize("form", FORMS)
def test_each_form_is_made_and_is_what_it_says(form: Form) -> None:
    made = sheet(RenderOptions(form=form)).made()
    assert made.lower().startswith(BEGINS[form].lower())
    if form not in ("pdf", "csv"):
        assert "calcium scale" in made.decode().lower()


def test_the_data_names_its_form_and_version() -> None:
    data = json.loads(sheet(RenderOptions(form="json")).made())
    assert (data["format"], data["version"]) == ("brinecall-sheet", 2)


@pytest.mark.parametrize("form", FORMS)
def test_the_form_goes_by_the_files_ending_where_none_is_named(form: Form) -> None:
    target = Path(f"job{ENDINGS[form].upper()}")
    assert RenderOptions(target=target).wanted_form == form
    assert RenderOptions(form="html", target=target).wanted_form == "html"
    assert RenderOptions(target=Path("job")).wanted_form == "text"


@pytest.mark.parametrize("name", ["job.docx", "job.svg", "2026.05.04"])
def test_an_ending_that_is_no_form_is_refused_unless_a_form_is_named(name: str) -> None:
    with pytest.raises(SheetError, match=rf"{name}: .*\.pdf.*--as"):
        assert RenderOptions(target=Path(name)).wanted_form
    assert RenderOptions(form="text", target=Path(name)).wanted_form == "text"


def test_us_units_go_with_letter_paper() -> None:
    metric, us = (sheet(RenderOptions(form="html", units=units)).made().decode() for units in ("metric", "us"))
    assert "letter" in us.lower()
    assert metric != us


def test_a_sheet_for_another_reader_speaks_to_that_reader() -> None:
    customer, technician = (sheet(RenderOptions(audience=who)).text() for who in ("customer", "technician"))
    assert "Technician ______" in technician
    assert "Technician ______" not in customer


def test_a_sheet_is_kept_beside_its_job_or_where_it_was_wished(tmp_path: Path) -> None:
    made = sheet()
    place = made.wish.place(tmp_path, "job")
    assert str(tmp_path / "job.txt") in keep_sheet(made, place)
    assert place.read_text(encoding="utf-8") == made.text()
    wished = RenderOptions(target=tmp_path / "mine.html")
    assert wished.place(tmp_path, "job") == tmp_path / "mine.html"
    assert replace(wished, target=None, form="pdf").place(tmp_path, "job") == tmp_path / "job.pdf"


def test_a_sheet_that_cannot_be_kept_is_no_catastrophe(tmp_path: Path) -> None:
    paper = PaperSheet(opened(Session(models()), ("role", "field")))
    for place in (tmp_path / "nowhere" / "job.txt", tmp_path):
        assert "could not be saved" in keep_sheet(paper, place)
        with pytest.raises(SheetError, match="could not be saved"):
            write_paper(paper.made(), place, private=True)


def test_what_cannot_be_written_in_the_end_is_refused_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    refuse_early("pdf", tmp_path / "job.pdf", NOTHING)
    with pytest.raises(SheetError, match="is a folder"):
        refuse_early("text", tmp_path, NOTHING)
    with pytest.raises(SheetError, match="no folder"):
        refuse_early("text", tmp_path / "nowhere" / "job.txt", NOTHING)
    monkeypatch.setattr("interview.command_line.output.find_spec", lambda _: None)
    with pytest.raises(SheetError) as refused:
        refuse_early("pdf", None, NOTHING)
    assert "\n" not in str(refused.value)


def test_a_kept_sheet_is_its_owners_alone_like_the_job(tmp_path: Path) -> None:
    if os.name == "nt":
        return
    for place in (tmp_path / "job.txt", tmp_path / "mine.html"):
        keep_sheet(sheet(), place)
        assert stat.S_IMODE(place.stat().st_mode) == 0o600


@pytest.mark.parametrize(("rows", "term", "paged"), [(10, "xterm", True), (400, "xterm", False), (10, "dumb", False)])
def test_a_paper_longer_than_the_screen_opens_in_the_pager_on_a_terminal_alone(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], rows: int, term: str, paged: bool
) -> None:
    text = "a line\n" * 50
    shown: list[str] = []
    monkeypatch.setattr("click.echo_via_pager", lambda said, **_: shown.append(said))
    print_paper(text.encode(), "text")
    assert (shown, capsys.readouterr().out) == ([], text), "piped, it comes whole"
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    monkeypatch.setenv("TERM", term)
    monkeypatch.setenv("LINES", str(rows))
    print_paper(text.encode(), "text")
    assert (shown == [text]) == paged
    assert (capsys.readouterr().out == text) != paged

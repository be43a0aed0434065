"""The job sheet of a session in the form that was wished for. It brings the forms, which no question needs."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from functools import cached_property
from pathlib import Path

from engine.foundation.texts import say
from engine.quantities.unit_systems import System
from engine.session.acts import Act
from engine.session.session import Session
from interview.command_line.output import RenderOptions, SheetError, paper_of, print_paper, write_paper
from interview.frontends.plain import is_read_aloud
from interview.messages import Sheet
from interview.storage.shop_file import shop_in_use, warn_without_name
from reports.document import AUDIENCES, Document
from reports.letterhead import Letterhead
from reports.renderers.data import FORMER, data_form, former_form
from reports.renderers.html import html_form
from reports.renderers.markdown import markdown_form
from reports.renderers.pdf import PdfNotInstalledError, pdf_form
from reports.renderers.spoken import spoken_form
from reports.renderers.text import text_form
from reports.renderers.till import till_form
from reports.sheets.choose import sheets_of, view_for
from reports.sheets.coming_back import day_to_come_back
from reports.sheets.in_short import in_short
from reports.view import JobView, view_data

_PRINTED = ("html", "pdf")
"""The forms that have letters of a size; text is as large as its terminal makes it."""


class JobSheet:
    """A session's sheet of one day, as the session stands when it is first asked for."""

    def __init__(
        self,
        session: Session,
        day: date,
        act: Act | None = None,
        wish: RenderOptions | None = None,
        command: str = "",
    ) -> None:
        """Make nothing yet.

        Args: the session, the date that the sheet bears, the act that ended the questions, what is wished for, and the
        command that gives the sheet again.
        """
        self._command = command
        self._session = session
        self._day = day
        self._act = act
        self.wish = wish or RenderOptions()

    def decision(self) -> str:
        """The id of what is decided."""
        return self.view.decision.decision

    def headline(self) -> str:
        """What is decided, in one sentence."""
        return f"{self.view.decision.title.rstrip('.')}."

    def day_due(self) -> str:
        """The day to come back or to call; empty where the sheet tells none."""
        day = day_to_come_back(self.view)
        return "" if day is None else day.isoformat()

    def in_short(self) -> tuple[str, ...]:
        """What it comes to, for one screen, and how to see all of it."""
        again = say("ending.sheet", command=self._command, readers=", ".join(AUDIENCES))
        # Nothing turns the eye from a danger.
        unnamed = () if self.shop.name or self.view.danger else (say("ending.no_shop"),)
        return (*in_short(self.view), *((again,) if self._command else ()), say("ending.here"), *unnamed)

    def text(self, columns: int = RenderOptions.columns, annex: bool = False) -> str:
        """The sheet as plain text, with its annex or as it was wished for; where it is read aloud, as it is spoken."""
        papers = self._with_annex if annex else self.documents
        return spoken_form(papers) if is_read_aloud() else text_form(papers, columns)

    def data(self) -> Mapping[str, object]:
        """The sheet as plain data."""
        return view_data(self.view)

    def made(self) -> bytes:
        """The sheet in the form wished for. Raises SheetError where that form cannot be made on this machine."""
        form, wish = self.wish.wanted_form, self.wish
        if form == "csv":
            return till_form(self.view).encode()
        if form == "json":
            data = former_form(self.view) if wish.schema == FORMER else data_form(self.documents, self.view)
            return (json.dumps(data, ensure_ascii=False, indent=2) + "\n").encode()
        return rendered(self.documents, form, wish.wanted_units, wish.columns, wish.large)

    @cached_property
    def documents(self) -> tuple[Document, ...]:
        """The papers for the reader who was wished for."""
        return self._composed(self.wish.annex)

    def warn_without_shop(self) -> None:
        """Say so where a customer is to get a paper of this without a shop's name."""
        if self.wish.wanted_form != "csv" and any(paper.audience == "customer" for paper in self.documents):
            warn_without_name(self.shop)

    @cached_property
    def _with_annex(self) -> tuple[Document, ...]:
        return self._composed(annex=True)

    def _composed(self, annex: bool) -> tuple[Document, ...]:
        return sheets_of(self.view, self._session.job.role, self.wish.audience, self.shop, annex)

    @cached_property
    def shop(self) -> Letterhead:
        """Whose papers these are."""
        return shop_in_use()

    @cached_property
    def view(self) -> JobView:
        """What the papers are composed from."""
        day, wish = self._day.isoformat(), self.wish
        return view_for(self._session, day, wish.audience, letterhead=self.shop, act=self._act, units=wish.wanted_units)


def sheet_day(session: Session, today: date) -> date:
    """The day that a sheet bears: that of the closing, from which its dates count; `today` while the job is open."""
    if session.job.closed:
        # What is recorded for the bill may be told weeks after.
        for event in (each for each in reversed(session.events) if each.kind in ("closed", "handed_on")):
            try:
                return datetime.fromisoformat(event.at).astimezone().date()
            except (ValueError, OverflowError):
                continue
    return today


def rendered(
    documents: Sequence[Document],
    form: str,
    units: System,
    columns: int = RenderOptions.columns,
    large: bool = False,
) -> bytes:
    """Documents in a form, text where it is no other, on the paper that goes with the units, in `large` print or not.

    Raises SheetError where that form cannot be made on this machine, or has no size of print.
    """
    paper = paper_of(units)
    if large and form not in _PRINTED:
        raise SheetError(say("sheet_command.no_large_print", form=form))
    match form:
        case "html":
            return html_form(documents, paper, large).encode()
        case "markdown":
            return markdown_form(documents).encode()
        case "pdf":
            try:
                return pdf_form(documents, paper, large)
            except PdfNotInstalledError as error:
                raise SheetError(str(error)) from error
        case _:
            return text_form(documents, columns).encode()


def give_out(sheet: JobSheet) -> None:
    """Write a sheet to the file wished for, and say where; or print it. Raises SheetError where that cannot be."""
    if sheet.wish.target is not None:
        sheet.warn_without_shop()
        print(write_paper(sheet.made(), sheet.wish.target, private=True))
    else:
        form = sheet.wish.wanted_form
        spoken = form == "text" and is_read_aloud() and not sheet.wish.large
        print_paper(sheet.text().encode() if spoken else sheet.made(), form)


def keep_sheet(sheet: Sheet, path: Path) -> str:
    """Write the sheet at the end of an interview, for printing; a sentence that says where, or why not."""
    try:
        return write_paper(sheet.made(), path, private=True)
    except SheetError as error:
        return f"{error}."

"""The job sheet of a session in the form that was wished for, made only when a front end or a command asks for it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from engine.foundation.problems import why_not
from engine.foundation.texts import say
from engine.quantities.unit_systems import System
from interview.commands.context import BadInputError
from interview.storage.settings import units_in_use

if TYPE_CHECKING:
    from engine.session.acts import Act
    from engine.session.session import Session
    from interview.messages import Sheet
    from reports.document import Audience, Document, Paper
    from reports.view import JobView

Form = Literal["text", "html", "pdf", "json", "markdown"]
ENDINGS: Mapping[Form, str] = {"text": ".txt", "html": ".html", "pdf": ".pdf", "json": ".json", "markdown": ".md"}
"""How the names of files end, form by form."""
_COLUMNS = 80


class SheetError(BadInputError):
    """A sheet that cannot be made or written; the text says why and what to do."""


@dataclass(frozen=True)
class RenderOptions:
    """What was asked for on the command line; what was left out has its usual value.

    `audience` is by default that of the job's role; `form` goes by the ending of `target`, else it is text; `units` are
    those remembered; `columns` are those of a text; `target` is the file it is written to.
    """

    audience: Audience | None = None
    form: Form | None = None
    units: System | None = None
    columns: int = _COLUMNS
    target: Path | None = None

    @property
    def wanted_form(self) -> Form:
        """The form asked for, or that of the file's ending."""
        if self.form is not None or self.target is None:
            return self.form or "text"
        ending = self.target.suffix.lower()
        return next((form for form, known in ENDINGS.items() if known == ending), "text")

    def place(self, folder: Path, job: str) -> Path:
        """Where the sheet of a job is kept: in the file wished for, or beside the job."""
        return self.target or folder / f"{job}{ENDINGS[self.wanted_form]}"

    @property
    def wanted_units(self) -> System:
        """The units asked for, or those remembered."""
        return self.units or units_in_use()


class JobSheet:
    """A session's sheet of one day, as the session stands when it is first asked for.

    The forms are imported here: no question needs them.
    """

    def __init__(self, session: Session, day: date, act: Act | None = None, wish: RenderOptions | None = None) -> None:
        """Args: the session, the date that the sheet bears, the act that ended the questions, what is wished for."""
        self._session = session
        self._day = day
        self._act = act
        self.wish = wish or RenderOptions()

    def decision(self) -> str:
        """The id of what is decided."""
        return self._view.decision.decision

    def headline(self) -> str:
        """What is decided, in one sentence."""
        return f"{self._view.decision.title.rstrip('.')}."

    def text(self, columns: int = _COLUMNS) -> str:
        """The sheet as plain text."""
        from reports.renderers.text import text_form

        return text_form(self._documents, columns)

    def data(self) -> Mapping[str, object]:
        """The sheet as plain data."""
        from reports.view import view_data

        return view_data(self._view)

    def made(self) -> bytes:
        """The sheet in the form wished for. Raises SheetError where that form cannot be made on this machine."""
        match self.wish.wanted_form:
            case "text":
                return self.text(self.wish.columns).encode()
            case "json":
                from reports.renderers.data import data_form

                return (json.dumps(data_form(self._view), ensure_ascii=False, indent=2) + "\n").encode()
            case "html":
                from reports.renderers.html import html_form

                return html_form(self._documents, self._paper()).encode()
            case "markdown":
                from reports.renderers.markdown import markdown_form

                return markdown_form(self._documents).encode()
            case "pdf":
                from reports.renderers.pdf import PdfNotInstalledError, pdf_form

                try:
                    return pdf_form(self._documents, self._paper())
                except PdfNotInstalledError as error:
                    raise SheetError(str(error)) from error

    def _paper(self) -> Paper:
        return "letter" if self.wish.wanted_units == "us" else "a4"

    @cached_property
    def _documents(self) -> tuple[Document, ...]:
        from reports.sheets.choose import sheets_of

        return sheets_of(self._view, self._session.job.role, self.wish.audience)

    @cached_property
    def _view(self) -> JobView:
        from reports.sheets.choose import view_for

        day, wish = self._day.isoformat(), self.wish
        return view_for(self._session, day, wish.audience, act=self._act, units=wish.wanted_units)


def refuse_at_once(wish: RenderOptions) -> None:
    """Before anything is asked: raises SheetError where the sheet wished for could not be written in the end."""
    if wish.wanted_form == "pdf" and find_spec("typst") is None:
        raise SheetError(say("pages.no_pdf"))
    refuse_target(wish.target)


def refuse_target(output: Path | None) -> None:
    """Raises SheetError where nothing could be written there in the end, before any work is done for it."""
    if output is None:
        return
    if output.is_dir():
        raise SheetError(say("sheet_command.is_folder", path=output))
    if not output.absolute().parent.is_dir():
        raise SheetError(say("sheet_command.no_folder", path=output, folder=output.absolute().parent))


def write_sheet(sheet: Sheet, path: Path) -> str:
    """Write the sheet to a file, whole or not at all; a sentence that says where.

    Raises: SheetError where it cannot be made or written.
    """
    from interview.storage.atomic_write import write_whole

    made = sheet.made()
    try:
        write_whole(path, made)
    except OSError as error:
        raise SheetError(say("sheet_command.not_written", path=path, why=why_not(error))) from error
    return say("sheet_command.written", path=path)


def keep_sheet(sheet: Sheet, path: Path) -> str:
    """Write the sheet at the end of an interview, for printing; a sentence that says where, or why not."""
    try:
        return write_sheet(sheet, path)
    except SheetError as error:
        return f"{error}."

"""Where a paper goes, in which form: by the options of a command line, refused early, written whole, or printed."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Literal, cast, get_args

from engine.foundation.problems import why_not
from engine.foundation.texts import say
from engine.quantities.unit_systems import System, system_in_use
from interview.command_line.context import BadInputError
from interview.command_line.targets import Inputs, refusal_of
from interview.frontends.encoding import legible
from interview.frontends.paging import show_paged
from interview.frontends.plain import is_read_aloud
from interview.storage.atomic_write import write_whole
from interview.storage.private import file_rights

if TYPE_CHECKING:
    from reports.document import Audience, Paper

Form = Literal["text", "html", "pdf", "json", "markdown", "csv"]
"""The forms of a sheet."""
ENDINGS: Mapping[str, str] = {
    "text": ".txt",
    "html": ".html",
    "pdf": ".pdf",
    "json": ".json",
    "markdown": ".md",
    "csv": ".csv",
    "svg": ".svg",
    "mermaid": ".mmd",
}
"""How the names of files end, form by form."""
_ALSO = {".htm": "html", ".mermaid": "mermaid"}
_LEGIBLE = ("text", "markdown", "mermaid")
"""Forms that are read as they are: printed, they keep to what the terminal can show."""
_COLUMNS = 80


class SheetError(BadInputError):
    """A paper that cannot be made or written; the text says why and what to do."""


@dataclass(frozen=True)
class RenderOptions:
    """What was asked for on the command line; what was left out has its usual value.

    `audience` is by default that of the job's role; `form` goes by the ending of `target`, else it is text; `units` are
    those in use; `columns` are those of a text; `target` is the file it is written to; `annex`, whether all stands on
    it that its reader can do without; `schema` is the version of JSON; `large` is large print.
    """

    audience: Audience | None = None
    form: Form | None = None
    units: System | None = None
    columns: int = _COLUMNS
    target: Path | None = None
    annex: bool = False
    schema: int = 2
    large: bool = False

    @property
    def wanted_form(self) -> Form:
        """The form asked for, or that of the file's ending. Raises SheetError where it ends like no form."""
        return cast("Form", form_for(self.form, self.target, get_args(Form)))

    def place(self, folder: Path, job: str) -> Path:
        """Where the sheet of a job is kept: in the file wished for, or beside the job."""
        return self.target or folder / f"{job}{ENDINGS[self.wanted_form]}"

    @property
    def wanted_units(self) -> System:
        """The units asked for, or those in use."""
        return self.units or system_in_use()


def form_by_ending(target: Path | None) -> str:
    """The form that a file's name ends like; text where it says nothing, empty where it ends like no form."""
    ending = "" if target is None else target.suffix.lower()
    by_ending = {known: form for form, known in ENDINGS.items()} | _ALSO | {"": "text"}
    return by_ending.get(ending, "")


def form_for(form: str | None, target: Path | None, forms: Sequence[str]) -> str:
    """The form asked for, else that of the file's ending, else text.

    Raises SheetError where nobody asked for a form and the file ends like none of `forms`: what a program opens by its
    ending holds what the ending says.
    """
    found = form or form_by_ending(target)
    if found not in forms:
        known = ", ".join(ENDINGS[each] for each in forms if each in ENDINGS)
        raise SheetError(say("sheet_command.no_such_ending", path=target, known=known, forms=", ".join(forms)))
    return found


def paper_of(units: System) -> Paper:
    """The size of paper that goes with units of measure."""
    return "letter" if units == "us" else "a4"


def refuse_early(form: str, target: Path | None, inputs: Inputs) -> None:
    """Raises SheetError where nothing of this form could be written there in the end, before any work is done.

    Args: `inputs`, what is read and must not be written over.
    """
    if form == "pdf" and find_spec("typst") is None:
        raise SheetError(say("pages.no_pdf"))
    if target is None:
        return
    if refused := refusal_of(target, inputs):
        raise SheetError(refused)
    if target.is_dir():
        raise SheetError(say("sheet_command.is_folder", path=target))
    if not target.absolute().parent.is_dir():
        raise SheetError(say("sheet_command.no_folder", path=target, folder=target.absolute().parent))


def refuse_to_print(form: str, target: Path | None, inputs: Inputs) -> None:
    """As `refuse_early`, where a paper without a target is printed: no PDF onto a terminal."""
    if form == "pdf" and target is None and sys.stdout.isatty():
        raise SheetError(say("sheet_command.pdf_to_terminal"))
    refuse_early(form, target, inputs)


def write_paper(made: bytes, path: Path, *, private: bool) -> str:
    """Write a paper to a file, whole or not at all; a sentence that says where. Raises SheetError where not.

    Args: `private`, whether a new file is for those alone who may read jobs, as what is said of one is.
    """
    try:
        write_whole(path, made, file_rights() if private else None)
    except OSError as error:
        raise SheetError(say("sheet_command.not_written", path=path, why=why_not(error))) from error
    return say("sheet_command.written", path=path)


def _runs_by(text: str) -> bool:
    """Whether a text is more than the screen of a terminal that a person sits at; a dumb one is read aloud whole."""
    seen = sys.stdin.isatty() and sys.stdout.isatty() and not is_read_aloud()
    return seen and text.count("\n") >= shutil.get_terminal_size().lines


def print_paper(made: bytes, form: str) -> None:
    """Print a paper to the standard output: what is read there legibly, all else byte by byte."""
    if form in _LEGIBLE:
        text = legible(made.decode(), sys.stdout.encoding)
        if _runs_by(text):
            show_paged(text)
        else:
            print(text, end="")
        return
    sys.stdout.flush()
    sys.stdout.buffer.write(made)

"""What becomes of a sheet beside being printed or written: opened, queued for paper, a mail, an entry, a clipboard."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from importlib.util import find_spec
from pathlib import Path

from engine.foundation.texts import say
from interview.command_line.console import folded
from interview.command_line.context import clock
from interview.command_line.desktop import open_in_viewer, print_queue, refuse_without_viewer, send_to_print
from interview.command_line.job_sheet import JobSheet
from interview.command_line.output import RenderOptions, SheetError, paper_of, refuse_early, write_paper
from interview.command_line.targets import Inputs
from interview.frontends.clipboard import has_clipboard, put_on_clipboard
from reports.renderers.appointment import appointment_form
from reports.renderers.mail import mail_form
from reports.renderers.pdf import PdfNotInstalledError
from reports.sheets.in_short import in_short

_ON_PAPER = ("pdf", "text")
"""Forms that a print queue takes as they are."""
_ENDINGS = {"mail": ".eml", "calendar": ".ics"}


@dataclass(frozen=True)
class HandingOver:
    """What is wanted of a sheet: opened, printed, copied, or files for a mail and an entry."""

    opened: bool = False
    printed: bool = False
    copied: bool = False
    mail: Path | None = None
    calendar: Path | None = None

    def wish(self, wish: RenderOptions) -> RenderOptions:
        """What goes with it where nothing else is asked for: a page to open, a PDF or text to print, a customer's mail.

        Raises SheetError where a form cannot go on paper.
        """
        if self.opened and wish.form is None and wish.target is None:
            wish = replace(wish, form="html")
        if self.printed and wish.form is None and wish.target is None:
            wish = replace(wish, form="pdf" if find_spec("typst") is not None else "text")
        if self.printed and wish.wanted_form not in _ON_PAPER:
            raise SheetError(say("handing_over.not_for_paper", form=wish.wanted_form))
        if (self.mail is not None or self.calendar is not None) and wish.audience is None:
            wish = replace(wish, audience="customer")
        return wish

    def refuse_early(self, wish: RenderOptions, inputs: Inputs) -> None:
        """Raises SheetError where something of it could not be done in the end, before any work is done."""
        if self.opened:
            refuse_without_viewer()
        if self.printed:
            print_queue()
        if self.copied and not has_clipboard():
            raise SheetError(say("handing_over.no_clipboard"))
        for kind, path in (("mail", self.mail), ("calendar", self.calendar)):
            if path is None:
                continue
            if path.suffix.lower() != _ENDINGS[kind]:
                raise SheetError(say("handing_over.wrong_ending", path=path, ending=_ENDINGS[kind]))
            refuse_early("pdf" if kind == "mail" else "text", path, inputs)
        refuse_early(wish.wanted_form, wish.target, inputs)


def hand_over(sheet: JobSheet, wanted: HandingOver, folder: Path, job: str) -> None:
    """Do all that is wanted with a sheet, and say what was done; a file wished for is written as well.

    Args: the sheet, what is wanted, and the folder and id of its job, beside which a paper to open is kept.

    Raises: SheetError where something cannot be done; what came before it is done.
    """
    sheet.warn_without_shop()
    for done in _done(sheet, wanted, folder, job):
        print(folded(done, sys.stdout))
    if wanted.copied:
        head = " · ".join((sheet.shop.head, say("pages.job", job=sheet.view.head.job)))
        put_on_clipboard((head, *in_short(sheet.view)))
        print(folded(say("handing_over.copied"), sys.stdout))


def _done(sheet: JobSheet, wanted: HandingOver, folder: Path, job: str) -> Iterator[str]:
    place = sheet.wish.place(folder, job)
    if wanted.opened or sheet.wish.target is not None:
        yield write_paper(sheet.made(), place, private=True)
    if wanted.mail is not None:
        write_paper(_mail(sheet), wanted.mail, private=True)
        yield say("handing_over.draft", path=wanted.mail)
    if wanted.calendar is not None:
        entry = appointment_form(sheet.view, sheet.shop, clock())
        if entry is None:
            raise SheetError(say("handing_over.no_day"))
        write_paper(entry, wanted.calendar, private=True)
        yield say("handing_over.entry", path=wanted.calendar)
    if wanted.printed:
        yield send_to_print(sheet.made(), print_queue())
    if wanted.opened:
        open_in_viewer(place)


def _mail(sheet: JobSheet) -> bytes:
    try:
        return mail_form(sheet.documents, paper_of(sheet.wish.wanted_units))
    except PdfNotInstalledError as error:
        raise SheetError(str(error)) from error

"""The command `brinecall sheet`: a kept job's sheet again, for whom and in the form that is wished for."""

from __future__ import annotations

import sys
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from engine.foundation.texts import say
from engine.session.journal import JournalError, job_ids
from interview.commands.context import clock, kept_jobs, places_of
from interview.commands.help import SaidCommand
from interview.commands.output import JobSheet, RenderOptions, SheetError, refuse_at_once, write_sheet
from interview.commands.sheet_options import sheet_options, wish_of
from interview.commands.startup import load
from interview.frontends.encoding import legible
from interview.storage import jobs
from interview.storage.jobs import JobError, KeptJob

if TYPE_CHECKING:
    from engine.session.session import Session

_NEWEST = "last"


def _last_or_kept(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    """For shell completion: the jobs kept, and the word for the newest."""
    newest = [_NEWEST] if _NEWEST.startswith(incomplete) else []
    return newest + kept_jobs(ctx, param, incomplete)


@click.command("sheet", cls=SaidCommand)
@click.argument("job", metavar="JOB|last", default=_NEWEST, shell_complete=_last_or_kept)
@sheet_options(columns=True)
@click.pass_context
def sheet_command(ctx: click.Context, /, job: str, **options: object) -> None:
    """Print the sheet of a kept job; the help that is shown stands in the words."""
    wish = wish_of(options)
    refuse(wish)
    places = places_of(ctx)
    folder = places.jobs_folder
    kept = _newest(folder) if job == _NEWEST else jobs.find(folder, job)
    session = jobs.taken_up(load(places.faults_folder), kept.events, folder / f"{kept.id}.jsonl")
    give_out(JobSheet(session, _day(kept, session), wish=wish))


def refuse(wish: RenderOptions) -> None:
    """Raises SheetError where the sheet wished for cannot be given out, before any work is done for it."""
    if wish.wanted_form == "pdf" and wish.target is None and sys.stdout.isatty():
        raise SheetError(say("sheet_command.pdf_to_terminal"))
    refuse_at_once(wish)


def give_out(sheet: JobSheet) -> None:
    """Write a sheet to the file wished for, and say where; or print it. Raises SheetError where that cannot be."""
    if sheet.wish.target is not None:
        print(write_sheet(sheet, sheet.wish.target))
        return
    made = sheet.made()
    if sheet.wish.wanted_form in ("text", "markdown"):
        print(legible(made.decode(), sys.stdout.encoding), end="")
        return
    sys.stdout.flush()
    sys.stdout.buffer.write(made)


def _newest(folder: Path) -> KeptJob:
    """The job begun last, open or closed, that can be read and in which something was said."""
    for name in reversed(job_ids(folder)):
        try:
            kept = jobs.find(folder, name)
        except JournalError as error:
            print(f"brinecall: {error}", file=sys.stderr)
            continue
        if kept.answers:
            return kept
    raise JobError(say("sheet_command.no_job", folder=folder))


def _day(kept: KeptJob, session: Session) -> date:
    """The day that the sheet bears: that of the closing, from which its dates count; today while the job is open."""
    if session.job.closed:
        for event in reversed(kept.events):
            try:
                return datetime.fromisoformat(event.at).astimezone().date()
            except ValueError:
                continue
    return clock().date()

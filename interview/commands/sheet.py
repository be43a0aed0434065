"""The command `brinecall sheet`: a kept job's sheet again, for whom and in the form that is wished for."""

from __future__ import annotations

import sys
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from engine.foundation.texts import say
from interview.command_line.completing import kept_jobs
from interview.command_line.context import clock, places_of
from interview.command_line.help import SaidCommand
from interview.command_line.job_sheet import JobSheet, give_out
from interview.command_line.output import refuse_to_print
from interview.command_line.sheet_options import sheet_options, wish_of
from interview.command_line.startup import load
from interview.command_line.targets import inputs_of
from interview.storage import jobs
from interview.storage.jobs import JobError, KeptJob

if TYPE_CHECKING:
    from engine.session.session import Session

_NEWEST = "last"


@click.command("sheet", cls=SaidCommand)
@click.argument("job", metavar="JOB|last", default=_NEWEST, shell_complete=kept_jobs(_NEWEST))
@sheet_options(columns=True)
@click.pass_context
def sheet_command(ctx: click.Context, /, job: str, **options: object) -> None:
    """Print the sheet of a kept job; the help that is shown stands in the words."""
    wish = wish_of(options)
    places = places_of(ctx)
    refuse_to_print(wish.wanted_form, wish.target, inputs_of(places))
    folder = places.jobs_folder
    kept = _newest(folder) if job == _NEWEST else jobs.find(folder, job)
    session = jobs.taken_up(load(places.faults_folder), kept)
    for lost in (kept.spoilt_lines(), jobs.set_aside(session)):
        if lost:
            print(f"brinecall: {lost}", file=sys.stderr)
    give_out(JobSheet(session, _day(kept, session), wish=wish))


def _newest(folder: Path) -> KeptJob:
    """The job begun last, open or closed, that can be read and in which something was said."""
    found = next((kept for kept in jobs.read_jobs(folder) if kept.answers), None)
    if found is None:
        raise JobError(say("sheet_command.no_job", folder=folder))
    return found


def _day(kept: KeptJob, session: Session) -> date:
    """The day that the sheet bears: that of the closing, from which its dates count; today while the job is open."""
    if session.job.closed:
        for event in reversed(kept.events):
            try:
                return datetime.fromisoformat(event.at).astimezone().date()
            except (ValueError, OverflowError):
                continue
    return clock().date()

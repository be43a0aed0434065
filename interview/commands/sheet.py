"""The command `brinecall sheet`: a kept job's sheet again, for whom and in the form that is wished for."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import NamedTuple

import click

from engine.foundation.texts import say
from engine.session.session import Session
from interview.command_line.completing import kept_jobs
from interview.command_line.context import clock, places_of
from interview.command_line.handing_over import HandingOver, hand_over
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.job_sheet import JobSheet, give_out, sheet_day
from interview.command_line.output import refuse_to_print
from interview.command_line.sheet_options import sheet_options, wish_of
from interview.command_line.startup import load
from interview.command_line.targets import inputs_of
from interview.commands.run import shop_side
from interview.storage import jobs
from interview.storage.jobs import JobError, KeptJob

NEWEST = "last"
"""What is typed for the newest job."""


@click.command("sheet", cls=SaidCommand)
@click.argument("job", metavar="JOB|last", default=NEWEST, shell_complete=kept_jobs(NEWEST))
@sheet_options(columns=True)
@click.option("--open", "opened", cls=SaidOption, is_flag=True)
@click.option("--print", "printed", cls=SaidOption, is_flag=True)
@click.option("--mail", cls=SaidOption, metavar="FILE.eml", type=click.Path(path_type=Path))
@click.option("--calendar", cls=SaidOption, metavar="FILE.ics", type=click.Path(path_type=Path))
@click.option("--copy", "copied", cls=SaidOption, is_flag=True)
@click.pass_context
def sheet_command(
    ctx: click.Context,
    /,
    job: str,
    opened: bool,
    printed: bool,
    mail: Path | None,
    calendar: Path | None,
    copied: bool,
    **options: object,
) -> None:
    """Print the sheet of a kept job, or hand it over; the help that is shown stands in the words."""
    wish = wish_of(options)
    inputs = inputs_of(places_of(ctx))
    if not (opened or printed or copied or mail or calendar):
        refuse_to_print(wish.wanted_form, wish.target, inputs)
        kept = kept_job(ctx, job)
        give_out(JobSheet(kept.session, kept.day, wish=wish))
        return
    wanted = HandingOver(opened, printed, copied, mail, calendar)
    wish = wanted.wish(wish)
    wanted.refuse_early(wish, inputs)
    kept = kept_job(ctx, job)
    hand_over(JobSheet(kept.session, kept.day, wish=wish), wanted, places_of(ctx).jobs_folder, kept.id)


class Kept(NamedTuple):
    """A kept job taken up again: the id by which its file is called, its session, and the day that its papers bear."""

    id: str
    session: Session
    day: date


def kept_job(ctx: click.Context, job: str) -> Kept:
    """The job named, or the newest; what of it cannot be read is told. Raises JobError where there is none."""
    places = places_of(ctx)
    folder = places.jobs_folder
    typed = _newest(folder).id if job == NEWEST else job
    brought = shop_side(places).brought(typed) if places.shares_store else None
    kept = jobs.find(folder, typed) if brought is None else jobs.find(folder, brought.name).with_told(brought.told)
    session = jobs.taken_up(load(places.faults_folder), kept)
    for lost in (kept.spoilt_lines(), jobs.set_aside(session)):
        if lost:
            print(f"brinecall: {lost}", file=sys.stderr)
    return Kept(kept.id, session, sheet_day(session, clock().date()))


def _newest(folder: Path) -> KeptJob:
    """The job begun last, open or closed, that can be read and in which something was said."""
    found = next((kept for kept in jobs.read_jobs(folder) if kept.answers), None)
    if found is None:
        raise JobError(say("sheet_command.no_job", folder=folder))
    return found

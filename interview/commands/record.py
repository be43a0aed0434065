"""The command `brinecall record`: what belongs to a job beside its interview, for its papers and the bill."""

from __future__ import annotations

import click

from engine.foundation.texts import say
from engine.session.journal import RECORDED, Event
from engine.session.taken_back import effective
from interview.command_line.completing import kept_jobs
from interview.command_line.context import BadInputError, clock, places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.startup import load
from interview.commands.run import shop_side
from interview.commands.sheet import NEWEST, kept_job
from interview.storage import jobs
from interview.storage.jobs import stamp
from interview.storage.who import at_work
from interview.understanding.record_typed import RecordError, to_record
from reports.sheets.choose import view_for
from reports.sheets.record import record_lines


@click.command("record", cls=SaidCommand)
@click.argument("words", metavar="[JOB] FIELD=VALUE...", nargs=-1, shell_complete=kept_jobs(NEWEST))
@click.option("--undo", cls=SaidOption, is_flag=True)
@click.pass_context
def record_command(ctx: click.Context, words: tuple[str, ...], undo: bool) -> None:
    """Record what is given, or undo the last of it, and show the record; the help that is shown stands in the words."""
    named = words[:1] if words and "=" not in words[0] else ()
    if undo and len(words) > len(named):
        raise BadInputError(say("recording.undo_alone"))
    kept = kept_job(ctx, named[0] if named else NEWEST)
    models = load(places_of(ctx).faults_folder)
    try:
        typed = to_record(words[len(named) :], models.knowledge.parts)
    except RecordError as error:
        raise BadInputError(str(error)) from error
    events = [Event(RECORDED, stamp(clock), one.about, one.value, one.unit, by=at_work()) for one in typed]
    if undo:
        if not any(event.kind == RECORDED for event in effective(kept.session.events)):
            raise BadInputError(say("recording.nothing_to_undo", job=kept.id))
        events = [Event("taken_back", stamp(clock), value=RECORDED)]
    session = kept.session
    if events:
        journal, _ = jobs.open_again(places_of(ctx).jobs_folder, kept.id)
        try:
            for event in events:
                journal.write(event)
                session.record(event)
        finally:
            journal.close()
        if places_of(ctx).store_address:
            shop_side(places_of(ctx)).file_away()
    print(say("recording.job", job=kept.id))
    lines = record_lines(view_for(session, kept.day.isoformat()).record)
    print("\n".join(f"{label}: {value}" for label, value in lines) or say("recording.nothing"))

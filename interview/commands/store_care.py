"""What the store of jobs needs now and then: sent what waits, worked out again, copied, put back, settled."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from engine.foundation.problems import why_not
from engine.foundation.texts import say
from engine.session.journal import RECORDED, Event
from engine.store.connect import is_server_address, open_store
from engine.store.copies import back_up, restore
from engine.store.filing import rebuild
from engine.store.transfer import export_lines, import_lines
from interview.command_line.context import NO_STORE, BadInputError, clock, places_of
from interview.command_line.filed_jobs import filed_job
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.store_access import send_waiting, shop_store, tell_sent
from interview.command_line.telling_of import tell
from interview.command_line.worked_calls import Progress
from interview.storage import settings, who
from interview.storage.atomic_write import write_in_parts
from interview.storage.jobs import stamp, tighten_jobs
from interview.storage.private import FILE

_FILE = click.Path(path_type=Path)
_TELL_EVERY = 1000


@click.command("send", cls=SaidCommand)
@click.option("--all", "everything", cls=SaidOption, is_flag=True)
@click.pass_context
def send_command(ctx: click.Context, everything: bool) -> None:
    """Put into the store what waits here; the help that is shown stands in the words."""
    with shop_store(places_of(ctx), send=False) as store:
        sent = send_waiting(store, places_of(ctx).jobs_folder, everything)
    tell_sent(sent.lines)
    print(say("store.care.sent", count=sent.jobs))
    if sent.refused:
        ctx.exit(1)


@click.command("rebuild", cls=SaidCommand)
@click.pass_context
def rebuild_command(ctx: click.Context) -> None:
    """Work out again what follows from the events; the help that is shown stands in the words."""
    done, progress = 0, Progress()
    with shop_store(places_of(ctx)) as store, store.writing() as connection:
        for done in rebuild(connection):
            if done % _TELL_EVERY == 0:
                progress.tell(say("store.care.rebuilding", count=done))
    progress.end()
    print(say("store.care.rebuilt", count=done))


@click.command("drop", cls=SaidCommand)
@click.argument("job", metavar="JOB|last")
@click.pass_context
def drop_command(ctx: click.Context, job: str) -> None:
    """Throw a job away that was opened by mistake; the help that is shown stands in the words."""
    with shop_store(places_of(ctx)) as store:
        line = filed_job(store, job, places_of(ctx).jobs_folder)
        event = Event(RECORDED, stamp(clock), about="thrown_away", value="yes", by=who.at_work())
        tell(store, places_of(ctx).jobs_folder, line, [event])
    print(say("store.care.dropped", job=line.name))


@click.command("export", cls=SaidCommand)
@click.option("-o", "--output", cls=SaidOption, metavar="FILE", type=_FILE)
@click.option("--without-people", cls=SaidOption, is_flag=True)
@click.pass_context
def export_command(ctx: click.Context, output: Path | None, without_people: bool) -> None:
    """Write every job as JSON lines; the help that is shown stands in the words."""
    with shop_store(places_of(ctx)) as store, store.reading() as connection:
        lines = export_lines(connection, people=not without_people)
        if output is None:
            for line in lines:
                print(line)
            return
        try:
            write_in_parts(output, (f"{line}\n".encode() for line in lines), FILE)
        except OSError as error:
            raise BadInputError(f"{output}: {why_not(error)}") from error
    print(say("store.care.exported", path=output))


@click.command("import", cls=SaidCommand)
@click.argument("file", metavar="FILE", type=_FILE)
@click.pass_context
def import_command(ctx: click.Context, file: Path) -> None:
    """Take in what was exported, each event once; the help that is shown stands in the words."""
    with shop_store(places_of(ctx)) as store, store.writing() as connection:
        jobs, events = import_lines(connection, _lines_of(file), str(file))
    print(say("store.care.imported", jobs=jobs, events=events))


def _lines_of(file: Path) -> Iterator[str]:
    try:
        with file.open(encoding="utf-8", errors="replace") as lines:
            yield from lines
    except OSError as error:
        raise BadInputError(f"{file}: {why_not(error)}") from error


@click.command("backup", cls=SaidCommand)
@click.argument("file", metavar="FILE", type=_FILE)
@click.pass_context
def backup_command(ctx: click.Context, file: Path) -> None:
    """Copy the store into a new file; the help that is shown stands in the words."""
    with shop_store(places_of(ctx)) as store:
        back_up(store, file)
    print(say("store.care.backed_up", path=file))


@click.command("restore", cls=SaidCommand)
@click.argument("file", metavar="FILE", type=_FILE)
@click.pass_context
def restore_command(ctx: click.Context, file: Path) -> None:
    """Put a backup where there is no store yet; the help that is shown stands in the words."""
    address = places_of(ctx).store_address
    if not address:
        raise BadInputError(say("store.no_store_here"))
    count = restore(file, address)
    print(say("store.care.restored", count=count))


@click.command("use", cls=SaidCommand)
@click.option("--at", "address", cls=SaidOption, metavar="ADDRESS")
@click.option("--counter", cls=SaidOption, metavar="NAME")
@click.option("--readable-by", "readers", cls=SaidOption, type=click.Choice(settings.READERS))
@click.pass_context
def use_command(ctx: click.Context, address: str | None, counter: str | None, readers: str | None) -> None:
    """Settle where jobs go, what this counter is called, who may read; the help that is shown stands in the words."""
    if address not in (None, NO_STORE):
        # An address that cannot be used is refused before it is kept.
        open_store(str(address)).close()
    chosen = {"store": address, "counter": counter, "readable_by": readers}
    try:
        settings.settle(**{name: value for name, value in chosen.items() if value is not None})
    except OSError as error:
        raise BadInputError(f"{settings.preferences_file()}: {why_not(error)}") from error
    places = places_of(ctx)
    if readers is not None:
        tighten_jobs(places.jobs_folder)
    at = places.store_address
    shown = say("store.care.a_server") if is_server_address(at) else at or say("store.care.nowhere")
    print(say("store.care.in_use", store=shown, counter=who.counter(), account=who.account()))
    print(say("store.care.read_by_group" if settings.group_may_read() else "store.care.read_by_account"))


CARE = (
    send_command, rebuild_command, drop_command, export_command, import_command, backup_command, restore_command,
    use_command,
)  # fmt: skip

"""The command `brinecall jobs bill`: what is billed of many jobs, a line a position, for a till or a table program."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, date, datetime, timedelta
from typing import Any

import click

from engine.foundation.texts import said, say
from engine.session.models import Models
from engine.store.connect import Store
from engine.store.listing import JobLine, Wanted, every_job
from engine.store.rows import filed
from interview.command_line.context import BadInputError, clock, places_of
from interview.command_line.filed_jobs import session_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.job_sheet import sheet_day
from interview.command_line.output import print_paper
from interview.command_line.startup import load
from interview.command_line.store_access import known_pools, shop_store
from interview.command_line.tables import form_of, print_table, table_options
from interview.command_line.worked_calls import Progress
from interview.storage.who import account
from reports.renderers.till import COLUMNS, positions, till_lines
from reports.view.record import bill_of

STATES = ("open", "closed", "thrown_away")
_OF_THE_SHOP = ("id", "state", "counter", "account")
"""What a line has beside a till's columns: the job's full id, its state, where it was opened, who wrote to it last."""
_SHOWN = ("job", "date", "customer", "text", "quantity", "unit", "state")
_TELL_EVERY = 50


def filters(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the words and options by which jobs are looked for; `wanted_of` reads them."""
    for option in (
        click.option("--until", cls=SaidOption, of="list", metavar="DAY", default=""),
        click.option("--since", cls=SaidOption, of="list", metavar="DAY", default=""),
        click.option("--pool", cls=SaidOption, of="list", default="", shell_complete=known_pools),
        click.option("--mine", cls=SaidOption, of="list", is_flag=True),
        click.option("--state", cls=SaidOption, of="list", type=click.Choice(STATES)),
        click.argument("words", nargs=-1),
    ):
        command = option(command)
    return command


def wanted_of(given: Mapping[str, Any]) -> Wanted:
    """Which jobs are looked for, by what was given to a command with `filters`. Raises BadInputError for no day."""
    return Wanted(
        state=given["state"] or "",
        account=account() if given["mine"] else "",
        pool=given["pool"],
        words=given["words"],
        since=_midnight("--since", given["since"], 0),
        before=_midnight("--until", given["until"], 1),
    )


def _midnight(name: str, day: str, later: int) -> str:
    """When a day of this machine's time zone begins, or so many days later, as events tell the time; empty for none."""
    if not day:
        return ""
    try:
        begins = datetime.combine(date.fromisoformat(day) + timedelta(days=later), datetime.min.time())
        return begins.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    except (ValueError, OverflowError, OSError):
        raise BadInputError(say("recording.no_day", name=name, value=day)) from None


@click.command("bill", cls=SaidCommand)
@filters
@table_options
@click.pass_context
def bill_command(ctx: click.Context, /, as_json: bool, as_csv: bool, **given: object) -> None:
    """What is billed of every job that is looked for; the help that is shown stands in the words."""
    wanted, form = wanted_of(given), form_of(as_json, as_csv)
    models = load(places_of(ctx).faults_folder)
    with shop_store(places_of(ctx)) as store:
        lines = _billed(store, models, wanted)
        if form == "csv":
            for text in till_lines(lines, (*COLUMNS, *_OF_THE_SHOP)):
                print_paper(text.encode(), form)
        elif form == "json":
            print(json.dumps(list(lines), ensure_ascii=False, indent=2))
        else:
            _show(list(lines))


def _billed(store: Store, models: Models, wanted: Wanted) -> Iterator[Mapping[str, str]]:
    """The positions of each job, the newest job first."""
    progress = Progress()
    with store.reading() as connection:
        for done, line in enumerate(every_job(connection, wanted), start=1):
            session = session_of(models, filed(connection, line.job))
            day = sheet_day(session, clock().date())
            yield from (position | _beside(line) for position in positions(bill_of(session, day.isoformat())))
            if done % _TELL_EVERY == 0:
                progress.tell(say("store.bill.progress", count=done))
    progress.end()


def _beside(line: JobLine) -> dict[str, str]:
    return {"id": line.job, "state": line.state, "counter": line.counter, "account": line.account}


def _show(lines: list[Mapping[str, str]]) -> None:
    """The positions for people to read."""
    headings, states = said("store.bill.headings"), said("store.list.states")
    rows = [tuple({**line, "state": states[line["state"]]}[name] for name in _SHOWN) for line in lines]
    print_table([headings[name] for name in _SHOWN], rows, lines, "text", may_go=(6, 1))
    if not lines:
        print(say("store.bill.none"), file=sys.stderr)

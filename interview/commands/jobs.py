"""The command `brinecall jobs`: the shop's jobs listed, one with its story, and what their store needs at times."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict, replace

import click

from engine.foundation.texts import said, say
from engine.knowledge.model import Knowledge
from engine.session.journal import RECORDED, Event
from engine.session.session import Session
from engine.store.listing import JobLine, list_jobs
from engine.store.rows import FiledEvent
from interview.command_line.completing import kept_jobs
from interview.command_line.console import folded
from interview.command_line.context import clock, places_of
from interview.command_line.filed_jobs import NEWEST, filed_job, local_time, rows_of, session_of
from interview.command_line.help import SaidCommand, SaidGroup, SaidOption
from interview.command_line.output import print_paper
from interview.command_line.startup import load
from interview.command_line.store_access import shop_store
from interview.command_line.tables import form_of, print_table, table_options
from interview.commands.bills import bill_command, filters, wanted_of
from interview.commands.store_care import CARE
from interview.dialogue.history import value_words
from interview.dialogue.phrasing import short_name
from interview.dialogue.standing import title

_A_SCREEN = 50
_MAY_GO = (7, 3, 6, 4)
"""Places of the columns that a narrow screen does without: the counter, the decision, the day, what it was."""
_TOLD_IN_WORDS = ("noted", "deferred", "danger_cleared")
"""Kinds whose text says more than their value."""


class _Jobs(SaidGroup):
    """A group that lists jobs where no command of its own is named: what is typed then is what is looked for."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Take the command, by default the list."""
        first = next((arg for arg in args if not arg.startswith("-")), None)
        helped = any(arg in ctx.help_option_names for arg in args)
        if first not in self.commands and not (helped and first is None):
            args = ["list", *args]
        return super().parse_args(ctx, args)


@click.group("jobs", cls=_Jobs)
def jobs_command() -> None:
    """The jobs of the shop; the help that is shown stands in the words."""


@click.command("list", cls=SaidCommand)
@filters
@click.option("--open", "only_open", cls=SaidOption, is_flag=True)
@click.option("--due", cls=SaidOption, is_flag=True)
@click.option("--most", cls=SaidOption, type=click.IntRange(1, 100_000), default=_A_SCREEN, show_default=True)
@table_options
@click.pass_context
def list_command(
    ctx: click.Context, /, only_open: bool, due: bool, most: int, as_json: bool, as_csv: bool, **given: object
) -> None:
    """List jobs, the newest first; the help that is shown stands in the words."""
    wanted = wanted_of(given)
    wanted = replace(wanted, state="open" if only_open else wanted.state, due_by=clock().date() if due else None)
    with shop_store(places_of(ctx)) as store, store.reading() as connection:
        found = list_jobs(connection, wanted, most + 1)
    print_lines(found[:most], form_of(as_json, as_csv))
    if not (as_json or as_csv):
        if not found:
            looked_for = any((only_open, due, *given.values()))
            click.echo(say("store.list.none" if looked_for else "store.list.empty"))
        elif len(found) > most:
            click.echo(say("store.list.more", most=most))


def print_lines(found: list[JobLine], form: str) -> None:
    """Jobs as a table."""
    headings = said("store.list.headings")
    rows = [
        (
            line.name,
            line.customer,
            (line.complaint or "").replace("-", " "),
            (line.decision or "").replace("_", " "),
            " + ".join(cause.replace("_", " ") for cause in line.causes),
            state_of(line),
            line.due or "",
            line.counter,
        )
        for line in found
    ]
    names = ("job", "customer", "complaint", "decision", "cause", "state", "due", "counter")
    table = form_of(form == "json", form == "csv")
    print_table([headings[name] for name in names], rows, as_data(found), table, may_go=_MAY_GO)


def as_data(found: Sequence[JobLine]) -> list[dict[str, object]]:
    """Jobs as plain data."""
    return [asdict(line) | {"causes": list(line.causes)} for line in found]


def state_of(line: JobLine) -> str:
    """The state of a job in words; a danger that nobody found safe stands beside it."""
    state = said("store.list.states").get(line.state, line.state)
    return say("store.list.in_danger", state=state) if line.danger else state


@click.command("show", cls=SaidCommand)
@click.argument("job", metavar="JOB|last", default=NEWEST, shell_complete=kept_jobs(NEWEST))
@click.option("--json", "as_json", cls=SaidOption, is_flag=True, of="tables")
@click.pass_context
def show_command(ctx: click.Context, job: str, as_json: bool) -> None:
    """Tell one job with its story; the help that is shown stands in the words."""
    with shop_store(places_of(ctx)) as store:
        line = filed_job(store, job, places_of(ctx).jobs_folder)
        rows = rows_of(store, line.job)
    if as_json:
        events = [asdict(row.event) | {"account": row.writer.account, "counter": row.writer.counter} for row in rows]
        click.echo(json.dumps({"job": asdict(line), "events": events}, ensure_ascii=False, indent=2))
        return
    session = session_of(load(places_of(ctx).faults_folder), rows)
    lines = (*_head(line, session.knowledge), "", *_story(session, rows))
    print_paper("".join(f"{folded(text, sys.stdout)}\n" for text in lines).encode(), "text")


def _head(line: JobLine, knowledge: Knowledge) -> Iterator[str]:
    fields = {
        "job": f"{line.name} ({line.job})",
        "customer": line.customer,
        "telephone": line.telephone,
        "counter": f"{line.counter}, {line.account}",
        "state": state_of(line),
        "complaint": _tree(knowledge, line.complaint),
        "decision": (line.decision or "").replace("_", " "),
        "cause": " + ".join(cause_words(knowledge, cause) for cause in line.causes),
        "due": line.due or "",
    }
    headings = said("store.list.headings")
    yield from (f"{headings[name]}: {text}" for name, text in fields.items() if text)


def _tree(knowledge: Knowledge, complaint: str | None) -> str:
    tree = knowledge.trees.get(complaint or "")
    return (complaint or "") if tree is None else tree.wording.customer


def cause_words(knowledge: Knowledge, cause: str) -> str:
    """A cause in a few words; what this knowledge does not have is called by its id."""
    return short_name(knowledge, (cause,)) if cause in knowledge.causes else cause.replace("_", " ")


def _story(session: Session, rows: tuple[FiledEvent, ...]) -> Iterator[str]:
    """Each event in a line: when, what, and who where that changes."""
    writer = None
    for row in rows:
        event = row.event
        if event.kind == "opened" and event.text:
            # It names the knowledge, some moments after the job was opened.
            continue
        who = f"  [{row.writer}]" if row.writer != writer else ""
        writer = row.writer
        what = "" if event.kind == "opened" else _what(session, event)
        typed = event.text if event.kind in _TOLD_IN_WORDS or event.about == "cause" else ""
        words = "; ".join(part for part in (typed, event.reason) if part)
        told = f"{what} ({words})" if what and words else what or words
        kind = said("store.kinds").get(event.kind, event.kind)
        yield f"{local_time(event.at)}  {kind}{f'  {told}' if told else ''}{who}"


def _what(session: Session, event: Event) -> str:
    """What an event is about, and what was said of it."""
    if event.kind == RECORDED:
        about = said("store.recorded").get(event.about, event.about)
        causes = str(event.value).split("+") if event.about == "cause" else ()
        words = " + ".join(cause_words(session.knowledge, cause) for cause in causes)
        value = words or (f"{event.value:g}" if isinstance(event.value, float) else str(event.value))
    else:
        about = title(session, event.about).rstrip(".") if event.about else ""
        value = "" if event.value is None else value_words(session, event.about, event.value).rstrip(".")
    return ": ".join(part for part in (about, value) if part)


for _command in (list_command, show_command, bill_command, *CARE):
    jobs_command.add_command(_command)

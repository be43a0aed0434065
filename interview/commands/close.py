"""The commands `brinecall close`, which tells what a job turned out to be, and `brinecall due`, what waits for whom."""

from __future__ import annotations

import sys

import click

from engine.foundation.problems import advice_for
from engine.foundation.texts import said, say
from engine.knowledge.model import Knowledge
from engine.session.decisions import HANDED_ON
from engine.session.journal import RECORDED, Event
from engine.session.outcome import outcome_of
from engine.session.record import NEVER_KNOWN, SOMETHING_ELSE
from engine.session.session import Session
from engine.store.listing import JobLine, due_jobs
from interview.command_line.completing import kept_jobs
from interview.command_line.context import BadInputError, clock, places_of
from interview.command_line.filed_jobs import NEWEST, filed_job, rows_of, session_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.startup import load
from interview.command_line.store_access import shop_store
from interview.command_line.tables import TableForm, form_of, print_table, table_options
from interview.command_line.telling_of import tell
from interview.commands.jobs import as_data, cause_words
from interview.dialogue.closing import what_it_was
from interview.storage import who
from interview.storage.jobs import stamp
from interview.understanding.record_typed import RecordError, to_record

_MOST_DUE = 200


@click.command("close", cls=SaidCommand)
@click.argument("job", metavar="JOB|last", default=NEWEST, shell_complete=kept_jobs(NEWEST))
@click.argument("causes", metavar="[CAUSE]...", nargs=-1)
@click.option("--words", cls=SaidOption, default="")
@click.option("--helped", cls=SaidOption, metavar="REPAIR")
@click.option("--came-back", cls=SaidOption, type=click.Choice(("yes", "no")))
@click.option("--minutes", cls=SaidOption, type=click.FloatRange(0, 100_000))
@click.option("--used", cls=SaidOption, metavar="PART=AMOUNT", multiple=True)
@click.pass_context
def close_command(
    ctx: click.Context,
    /,
    job: str,
    causes: tuple[str, ...],
    words: str,
    helped: str | None,
    came_back: str | None,
    minutes: float | None,
    used: tuple[str, ...],
) -> None:
    """Close a job with what it turned out to be; the help that is shown stands in the words."""
    places = places_of(ctx)
    with shop_store(places) as store:
        line = filed_job(store, job, places_of(ctx).jobs_folder)
        session = session_of(load(places.faults_folder), rows_of(store, line.job))
        knowledge = session.knowledge
        if helped is not None and helped not in knowledge.repairs:
            raise BadInputError(
                say("store.close.no_repair", name=helped, advice=advice_for(helped, knowledge.repairs, "repair"))
            )
        told = {"helped": helped, "came_back": came_back, "labour": minutes}
        parts = _parts(used, knowledge)
        if session.job.danger is not None:
            raise BadInputError(say("store.close.in_danger", job=line.name))
        if words and not causes:
            causes = (SOMETHING_ELSE,)
        known = [*knowledge.causes, SOMETHING_ELSE, NEVER_KNOWN]
        for cause in causes:
            if cause not in known:
                raise BadInputError(say("store.close.no_cause", name=cause, advice=advice_for(cause, known, "cause")))
        if not causes and not any(told.values()):
            causes, words = _asked(session)
        events = [] if line.state == "closed" else [_closing(session)]
        if causes:
            events.append(_recorded("cause", "+".join(dict.fromkeys(causes)), words))
        events += [_recorded(about, value) for about, value in told.items() if value is not None]
        tell(store, places.jobs_folder, line, [*events, *parts])
    named = " + ".join(cause_words(knowledge, cause) for cause in causes or line.causes)
    print(say("store.close.done", job=line.name, cause=named or say("store.close.nothing_said")))


def _parts(used: tuple[str, ...], knowledge: Knowledge) -> list[Event]:
    try:
        typed = to_record([f"part:{one}" for one in used], knowledge.parts)
    except RecordError as error:
        raise BadInputError(str(error)) from error
    return [Event(RECORDED, stamp(clock), one.about, one.value, one.unit, by=who.at_work()) for one in typed]


def _recorded(about: str, value: str | float, text: str = "") -> Event:
    return Event(RECORDED, stamp(clock), about, value, text, by=who.at_work())


def _closing(session: Session) -> Event:
    """The event that closes an open job by what is decided now."""
    started = session.job.complaint is not None and session.job.role is not None
    decision = outcome_of(session, None).conclusion.decision if started else None
    return Event("handed_on" if decision in HANDED_ON else "closed", stamp(clock), value=decision, by=who.at_work())


def _asked(session: Session) -> tuple[tuple[str, ...], str]:
    """What it turned out to be, asked in the terminal. Raises BadInputError where nobody is there to be asked."""
    if session.job.complaint is None or not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise BadInputError(say("store.close.say_what"))
    question = what_it_was(session)
    print(question.text)
    for number, choice in enumerate(question.choices, start=1):
        print(f"{number:2}  {choice.text}")
    chosen = None
    while chosen is None:
        typed = click.prompt(
            say("store.close.number", most=len(question.choices)), prompt_suffix=" > ", default="", show_default=False
        )
        place = len(question.choices) if not typed else int(typed) if typed.isdecimal() else 0
        chosen = question.choices[place - 1] if 1 <= place <= len(question.choices) else None
    words = str(click.prompt(chosen.tells)) if chosen.tells else ""
    return () if chosen.id == question.passes else (chosen.id,), words


@click.command("due", cls=SaidCommand)
@table_options
@click.pass_context
def due_command(ctx: click.Context, as_json: bool, as_csv: bool) -> None:
    """What waits for somebody, today first; the help that is shown stands in the words."""
    with shop_store(places_of(ctx)) as store, store.reading() as connection:
        found = due_jobs(connection, clock().date(), _MOST_DUE)
    _print_due(found, form_of(as_json, as_csv))
    if not found and not (as_json or as_csv):
        print(say("store.list.nothing_due"))


def _print_due(found: list[JobLine], form: TableForm) -> None:
    """What is due, whom to call for it, and why."""
    headings = said("store.list.headings")
    rows = [
        (
            line.due or "",
            line.customer,
            line.telephone,
            _why_due(line),
            (line.complaint or "").replace("-", " "),
            line.name,
        )
        for line in found
    ]
    names = ("due", "customer", "telephone", "why", "complaint", "job")
    print_table([headings[name] for name in names], rows, as_data(found), form, may_go=(4,))


def _why_due(line: JobLine) -> str:
    if line.danger and line.state == "open":
        return say("store.list.why.danger")
    if line.state == "closed":
        return say("store.list.why.what_was_it")
    return (line.decision or "").replace("_", " ") or say("store.list.why.still_open")

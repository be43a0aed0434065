"""`brinecall ask` and `brinecall resume`: an interview begun with what is known, and one taken up again."""

from __future__ import annotations

from pathlib import Path

import click

from engine.foundation.texts import say
from interview.command_line.completing import kept_jobs, known_ids
from interview.command_line.context import places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.output import refuse_early, refuse_to_print
from interview.command_line.sheet_options import sheet_options, wish_of
from interview.command_line.targets import inputs_of
from interview.commands import run


@click.command("ask", cls=SaidCommand)
@click.option("--complaint", cls=SaidOption, shell_complete=known_ids("trees"))
@click.option("--role", cls=SaidOption, shell_complete=known_ids("roles"))
@click.option("--unit", cls=SaidOption, shell_complete=known_ids("units"))
@click.option("--facts", cls=SaidOption, type=click.Path(path_type=Path))
@click.option("--call", cls=SaidOption, type=click.IntRange(min=1))
@click.option("--pipe", cls=SaidOption, is_flag=True)
@sheet_options(columns=False)
@click.pass_context
def ask(
    ctx: click.Context,
    /,
    complaint: str | None,
    role: str | None,
    unit: str | None,
    facts: Path | None,
    call: int | None,
    pipe: bool,
    **sheet: object,
) -> None:
    """Interview, with what is known already."""
    if call is not None and facts is None:
        raise click.UsageError(say("command_line.call_without_facts"))
    if pipe and facts is not None:
        raise click.UsageError(say("command_line.pipe_and_facts"))
    if pipe and any(value not in (None, False) for value in sheet.values()):
        raise click.UsageError(say("sheet_command.not_with_pipe"))
    given = {"role": role, "unit": unit, "complaint": complaint}
    said = {about: name for about, name in given.items() if name is not None}
    places = places_of(ctx)
    wish = wish_of(sheet)
    if facts is not None:
        refuse_to_print(wish.wanted_form, wish.target, inputs_of(places, facts))
        # Late: a call without a person needs what no first question does.
        from interview.commands.scripted import scripted

        ctx.exit(scripted(places, facts, call or 1, said, wish))
    refuse_early(wish.wanted_form, wish.target, inputs_of(places))
    ctx.exit(run.start(places, said, pipe, wish))


@click.command("resume", cls=SaidCommand)
@click.argument("job", required=False, shell_complete=kept_jobs())
@click.pass_context
def resume(ctx: click.Context, job: str | None) -> None:
    """Go on with an open job: the one named, or the newest."""
    ctx.exit(run.resume(places_of(ctx), job))

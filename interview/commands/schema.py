"""The command `brinecall schema`: by what an editor completes the files of a faults folder and marks slips in them."""

from __future__ import annotations

from pathlib import Path

import click

from engine.foundation.problems import why_not
from engine.foundation.texts import say
from engine.knowledge.editor_schema import SCHEMA, schemas, text_of
from engine.knowledge.mentions import USES, read_written
from engine.knowledge.upgrade.folder import write_files
from interview.command_line.context import BadInputError, own_folder, places_of
from interview.command_line.help import SaidCommand, SaidOption


@click.command("schema", cls=SaidCommand)
@click.argument("kind", metavar="[KIND]", required=False)
@click.option("--write", cls=SaidOption, is_flag=True)
@click.pass_context
def schema_command(ctx: click.Context, kind: str | None, write: bool) -> None:
    """Print or write schemas for an editor; the help that is shown stands in the words."""
    folder = own_folder(ctx) if write else Path(str(places_of(ctx).faults_folder))
    written = read_written(folder)
    made = schemas({each: tuple(sorted(written.ids(each))) for each in USES})
    if write:
        try:
            write_files(folder / SCHEMA, {name: text_of(schema).encode() for name, schema in made.items()}, over=True)
        except OSError as error:
            raise BadInputError(say("entries.unwritten", folder=folder / SCHEMA, why=why_not(error).lower())) from None
        click.echo(say("entries.schema_written", count=len(made), folder=folder / SCHEMA), err=True)
        return
    if f"{kind}.json" not in made:
        kinds = ", ".join(name.removesuffix(".json") for name in made)
        raise click.UsageError(say("entries.schema_which", kinds=kinds))
    click.echo(text_of(made[f"{kind}.json"]), nl=False)

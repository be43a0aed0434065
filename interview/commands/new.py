"""The command `brinecall new`: a new entry in a faults folder, asked for field by field or given as it is typed."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import Any

import click

from engine.evaluation.look_over import look_over
from engine.foundation.problems import KnowledgeError, advice_for, why_not
from engine.foundation.texts import say
from engine.knowledge.editor_schema import SCHEMA, schema_line
from engine.knowledge.mentions import read_stack, read_written, text_of
from engine.knowledge.skeletons import CALL, added, asked_of, file_of, new_kinds, skeleton
from engine.knowledge.upgrade.folder import write_files
from interview.command_line.context import BadInputError, own_folder
from interview.command_line.help import SaidArgument, SaidCommand, SaidOption

_ID = re.compile(r"[a-z][a-z0-9]*(?:[-_][a-z0-9]+)*")
_MOST_TOLD = 20


@click.command("new", cls=SaidCommand)
@click.argument("kind", metavar="KIND", cls=SaidArgument, type=click.Choice(new_kinds()))
@click.argument("id", metavar="ID")
@click.argument("fields", metavar="[FIELD=VALUE]...", nargs=-1)
@click.option("--number", cls=SaidOption, is_flag=True)
@click.option("--ask/--no-ask", cls=SaidOption, default=None)
@click.option("--like", cls=SaidOption, metavar="ID")
@click.option("--into", cls=SaidOption, metavar="FILE")
@click.pass_context
def new_command(ctx: click.Context, /, kind: str, id: str, like: str | None, into: str | None, **typed: Any) -> None:
    """Write a new entry; the help that is shown stands in the words."""
    folder = own_folder(ctx)
    _refuse(folder, kind, id)
    if like is not None and kind == CALL:
        raise BadInputError(say("entries.like_call"))
    if like is not None and (typed["fields"] or typed["number"]):
        raise BadInputError(say("entries.like_alone"))
    text = _written(kind, id, **typed) if like is None else _like(folder, kind, id, like)
    file = _file(kind, id, into)
    path = folder / file
    before = path.read_bytes() if path.is_file() else None
    first = schema_line(file) if (folder / SCHEMA).is_dir() else ""
    try:
        write_files(folder, {file: added(before, kind, text, first)}, over=True)
    except OSError as error:
        raise BadInputError(say("entries.unwritten", folder=folder, why=why_not(error).lower())) from None
    click.echo(say("entries.written", file=path), err=True)
    _tell_what_is_left(folder, f"{folder}/{file}", before)


def _written(kind: str, id: str, fields: tuple[str, ...], number: bool, ask: bool | None) -> str:
    """The entry from what is typed, and at a terminal what is answered. Raises BadInputError where that is no value."""
    given = _given(kind, number, fields)
    if ask if ask is not None else sys.stdin.isatty():
        _ask(kind, number, given)
    try:
        return skeleton(kind, id, given, number)
    except KnowledgeError as error:
        raise BadInputError("; ".join(f"{each.what}: {each.advice}" for each in error.problems)) from None


def _like(folder: Path, kind: str, id: str, like: str) -> str:
    """Another entry's text with the new id. Raises BadInputError where no folder of the stack has it."""
    stack = [written for _, written in read_stack(folder)]
    text = next((found for written in stack if (found := text_of(written, kind, like)) is not None), None)
    if text is None:
        known = sorted({name for written in stack for name in written.ids(kind)})
        raise BadInputError(say("entries.no_such", id=like, advice=advice_for(like, known, kind)))
    return re.sub(rf"(?m)^((?:- )?{kind}: *){re.escape(like)}\b", lambda found: f"{found[1]}{id}", text, count=1)


def _file(kind: str, id: str, into: str | None) -> str:
    """The file that takes the entry. Raises BadInputError for one that does not take its kind."""
    usual = file_of(kind, id)
    if into is None:
        return usual
    folder, slash, name = into.rpartition("/")
    if (folder, slash) != usual.rpartition("/")[:2] or not name.endswith(".yaml") or (not slash and into != usual):
        raise BadInputError(say("entries.not_there", file=into, usual=usual))
    return into


def _given(kind: str, number: bool, fields: tuple[str, ...]) -> dict[str, str]:
    """What is typed as `field=value`, by field. Raises BadInputError for a field that there is none of."""
    known = [field.name for field in asked_of(kind, number)]
    given = {}
    for typed in fields:
        name, equals, value = typed.partition("=")
        if not equals or name not in known:
            raise BadInputError(say("entries.no_field", typed=typed, advice=advice_for(name, known)))
        given[name] = value
    return given


def _refuse(folder: Path, kind: str, id: str) -> None:
    if kind == CALL:
        return
    if not _ID.fullmatch(id) or ("-" in id and kind != "tree"):
        raise BadInputError(say("entries.no_id", id=id))
    written = read_written(folder)
    for other in ("check", "finding") if kind == "check" else (kind,):
        if id in written.ids(other):
            raise BadInputError(say("entries.taken", id=id, kind=other))


def _ask(kind: str, number: bool, given: dict[str, str]) -> None:
    """Ask for what must be there and is not given; Return leaves it to be filled in."""
    for field in asked_of(kind, number):
        if field.needed and field.name not in given:
            click.echo(field.belongs)
            answer = click.prompt(field.name, default="", show_default=False).strip()
            if answer:
                given[field.name] = answer


def _tell_what_is_left(folder: Path, file: str, before: bytes | None) -> None:
    """Print what `check` finds in the new part of a file, and how much elsewhere."""
    start = 0 if before is None else before.count(b"\n")
    found = look_over(folder).found
    here = [each for each in found if each.file == file and each.line > start]
    for problem in here[:_MOST_TOLD]:
        click.echo(str(problem))
    if len(found) > len(here):
        click.echo(say("entries.elsewhere", count=len(found) - len(here)), err=True)

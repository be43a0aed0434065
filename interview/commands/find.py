"""The commands `brinecall find`, `entries` and `rename`: where entries are spoken of, which there are, another id."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

import click

from engine.foundation.problems import advice_for, why_not
from engine.foundation.texts import say
from engine.knowledge.layers import laid_contents
from engine.knowledge.loader import without_mistakes
from engine.knowledge.mentions import USES, Mention, Written, mentions_of, read_stack, renamed, worded
from engine.knowledge.required import NAMED
from engine.knowledge.upgrade.folder import write_files
from engine.knowledge.usage import used_ids
from interview.command_line.context import BadInputError, own_folder, places_of
from interview.command_line.help import SaidArgument, SaidCommand, SaidOption
from interview.command_line.worked_calls import warn_of_faults_here

_ID = re.compile(r"[a-z][a-z0-9]*(?:_[a-z0-9]+)*")
_TREE_ID = re.compile(r"[a-z][a-z0-9]*(?:[-_][a-z0-9]+)*")
_RENAMED = tuple(kind for kind in USES if kind not in ("role", "limit"))
_LISTED = tuple(USES)


@click.command("find", cls=SaidCommand)
@click.argument("words", metavar="ID|WORD...", nargs=-1, required=True)
@click.option("--kind", cls=SaidOption, metavar="KIND", type=click.Choice(tuple(USES)))
@click.pass_context
def find_command(ctx: click.Context, words: tuple[str, ...], kind: str | None) -> None:
    """Tell where an entry is spoken of, or which texts hold words; the help that is shown stands in the words."""
    sought = " ".join(words)
    folder = Path(str(places_of(ctx).faults_folder))
    warn_of_faults_here(places_of(ctx))
    stack = read_stack(folder)
    kinds = [kind] if kind is not None else [each for each in USES if any(sought in w.ids(each) for _, w in stack)]
    lines = [
        f"{_placed(place, mention)}: {_told(mention)}"
        for place, w in stack
        for each in kinds
        for mention in mentions_of(w, each, sought)
    ] or [
        f"{_placed(place, mention)}: {_told(mention)}: {text}"
        for place, w in stack
        for mention, text in worded(w, sought)
        if kind in (None, mention.by[0])
    ]
    if not lines:
        raise BadInputError(_no_such([written for _, written in stack], kinds or tuple(USES), sought))
    for line in lines:
        click.echo(line)


@click.command("entries", cls=SaidCommand)
@click.argument("kind", metavar="KIND", cls=SaidArgument, type=click.Choice(_LISTED))
@click.option("--unused", cls=SaidOption, is_flag=True)
@click.pass_context
def entries_command(ctx: click.Context, kind: str, unused: bool) -> None:
    """List the entries of a kind; the help that is shown stands in the words."""
    place = places_of(ctx).faults_folder
    warn_of_faults_here(places_of(ctx))
    contents, unread = laid_contents(place)
    folder = without_mistakes(str(place), contents, unread)
    used = used_ids(folder)[kind]
    entries = folder.of_kind(kind)
    widest = max((len(name) for name in entries), default=0)
    for name, placed in entries.items():
        if not unused or name not in used:
            text = getattr(placed.form, "technician", "")
            click.echo(f"{name:{widest}}  {text}".rstrip())


@click.command("rename", cls=SaidCommand)
@click.argument("kind", metavar="KIND", cls=SaidArgument, type=click.Choice(_RENAMED))
@click.argument("old", metavar="OLD")
@click.argument("new", metavar="NEW")
@click.option("--dry-run", "only_told", cls=SaidOption, is_flag=True)
@click.pass_context
def rename_command(ctx: click.Context, kind: str, old: str, new: str, only_told: bool) -> None:
    """Give an entry another id wherever it is spoken of; the help that is shown stands in the words."""
    folder = own_folder(ctx)
    (_, written), *below = read_stack(folder)
    for place, lower in below:
        if old in lower.ids(kind):
            raise BadInputError(say("entries.below", id=old, below=place))
    _refuse([written, *(lower for _, lower in below)], kind, old, new)
    mentions = mentions_of(written, kind, old)
    for mention in mentions:
        click.echo(f"{_placed(folder, mention)}: {_told(mention)}")
    if only_told:
        return
    changed = renamed(written, mentions, old, new)
    try:
        write_files(folder, changed, over=True)
    except OSError as error:
        raise BadInputError(say("entries.unwritten", folder=folder, why=why_not(error).lower())) from None
    click.echo(say("entries.renamed", old=old, new=new, places=len(mentions), files=len(changed)), err=True)
    click.echo(say("entries.jobs_keep", old=old), err=True)


def _refuse(stack: Sequence[Written], kind: str, old: str, new: str) -> None:
    """Raise BadInputError where an entry cannot have this id. Args: what is written in a folder and those below it."""
    if old not in stack[0].ids(kind):
        raise BadInputError(_no_such(stack, (kind,), old))
    if old in NAMED.get(kind, ()):
        raise BadInputError(say("entries.named_in_code", id=old))
    if not (_TREE_ID if kind == "tree" else _ID).fullmatch(new):
        raise BadInputError(say("entries.no_id", id=new))
    for other in ("check", "finding") if kind in ("check", "finding") else (kind,):
        if any(new in written.ids(other) for written in stack):
            raise BadInputError(say("entries.taken", id=new, kind=other))


def _no_such(stack: Sequence[Written], kinds: Sequence[str], id: str) -> str:
    known = sorted({name for written in stack for kind in kinds for name in written.ids(kind)})
    return say("entries.no_such", id=id, advice=advice_for(id, known, kinds[0] if len(kinds) == 1 else "KIND"))


def _placed(folder: Path, mention: Mention) -> str:
    return f"{folder}/{mention.file}:{mention.line}:{mention.column}"


def _told(mention: Mention) -> str:
    """How an entry is spoken of there."""
    kind, name = mention.by
    if mention.declares:
        return say("entries.declared", kind=kind)
    return say("entries.used" if name else "entries.used_nameless", kind=kind, name=name, field=mention.field)

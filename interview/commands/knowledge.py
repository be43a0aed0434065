"""`brinecall knowledge`: which faults folder every command takes, by which rule; settling it, and making one's own."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path

import click

from engine.foundation.plain_text import without_accents
from engine.foundation.problems import why_not
from engine.foundation.texts import said, say
from engine.knowledge.base_kept import BASE_FILE, Base, BothChanged, base_of, both_changed, kept_in
from engine.knowledge.changes import Change, Entries, below, changes, entries_of, own_entries
from engine.knowledge.conflicts import Side, base_after, settled, sides_of
from engine.knowledge.files import contents_of
from engine.knowledge.overlay_file import SHIPPED, lies_over, overlay_files, stack_of
from engine.knowledge.upgrade.folder import write_files
from interview.command_line.console import folded
from interview.command_line.context import BadInputError, Places, faults_in_use, places_of
from interview.command_line.help import SaidCommand, SaidGroup, SaidOption
from interview.command_line.startup import load
from interview.command_line.worked_calls import knowledge_used
from interview.commands.bundle import back_command, bundle_command, bundled_lines, take_command
from interview.storage import settings

_FOLDER = click.Path(path_type=Path)
_NO_KNOWLEDGE = shutil.ignore_patterns("*.py", "*.pyc", "__pycache__", "README.md")
"""What lies in the shipped folder for the program's sake and no one else's."""


@click.group("knowledge", cls=SaidGroup, invoke_without_command=True)
@click.option("--json", "as_json", cls=SaidOption, is_flag=True, of="tables")
@click.pass_context
def knowledge_command(ctx: click.Context, as_json: bool) -> None:
    """Show which knowledge is in use; the help that is shown stands in the words."""
    if ctx.invoked_subcommand is None:
        _show(places_of(ctx), as_json)


def _show(places: Places, as_json: bool) -> None:
    used = knowledge_used(places.faults_folder, load(places.faults_folder).knowledge)
    if as_json:
        print(json.dumps({"knowledge": vars(used), "rule": places.rule}, ensure_ascii=False))
        return
    _tell(used.line())
    _tell(say(f"knowledge_command.by.{places.rule}"))
    for line in bundled_lines(places.faults_folder):
        _tell(line)


@click.command("knowledge-use", cls=SaidCommand)
@click.argument("folder", metavar="[FOLDER]", required=False, type=_FOLDER)
@click.option("--shipped", cls=SaidOption, is_flag=True)
def use_command(folder: Path | None, shipped: bool) -> None:
    """Settle which knowledge every command takes from now on; the help that is shown stands in the words."""
    if (folder is None) != shipped:
        raise BadInputError(say("knowledge_command.which"))
    if folder is not None:
        # A folder with a mistake or an unanswered danger is refused before it is settled: the counter would stop.
        load(folder)
    try:
        settings.settle(knowledge="" if folder is None else str(folder.resolve()))
    except OSError as error:
        raise BadInputError(f"{settings.preferences_file()}: {why_not(error)}") from error
    # A variable goes before what is settled, and then this shows it.
    now, rule = faults_in_use(None)
    _show(Places(now, named_by=rule), as_json=False)


@click.command("knowledge-edit", cls=SaidCommand)
@click.argument("folder", metavar="FOLDER", type=_FOLDER)
@click.option("--whole", cls=SaidOption, is_flag=True)
@click.pass_context
def edit_command(ctx: click.Context, folder: Path, whole: bool) -> None:
    """Make a folder of the shop's own to edit; the help that is shown stands in the words."""
    lower = places_of(ctx).faults_folder
    used = knowledge_used(lower, load(lower).knowledge)
    if whole and lies_over(lower):
        raise BadInputError(say("knowledge_command.not_whole", below=lower))
    source, target = Path(str(lower)).resolve(), folder.resolve()
    if target == source or source in target.parents:
        raise BadInputError(say("knowledge_command.inside", folder=folder, below=lower))
    try:
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise BadInputError(say("knowledge_command.there", folder=folder))
        if whole:
            shutil.copytree(source, folder, ignore=_NO_KNOWLEDGE, dirs_exist_ok=True)
        else:
            over = SHIPPED if places_of(ctx).faults is None else str(source)
            folder.mkdir(parents=True, exist_ok=True)
            made = overlay_files(folder.resolve().name, over, used.fingerprint)
            write_files(folder, {**made, BASE_FILE: base_of(entries_of(lower))}, over=True)
    except OSError as error:
        # Of a whole folder the first file that could not be copied says enough; it comes with the system's word.
        why = str(error.args[0][0][2]) if isinstance(error, shutil.Error) else why_not(error)
        raise BadInputError(say("knowledge_command.not_made", folder=folder, why=why)) from error
    named = {"folder": folder, "below": used.folder, "fingerprint": used.fingerprint}
    _tell(say("knowledge_command.copied" if whole else "knowledge_command.made", **named))
    check, use = Places(folder).command("check"), Places().command("knowledge", "use", str(folder))
    _tell(say("knowledge_command.next", check=check, use=use))


@click.command("knowledge-diff", cls=SaidCommand)
@click.argument("folder", metavar="[FOLDER]", required=False, type=_FOLDER)
@click.option("--json", "as_json", cls=SaidOption, is_flag=True, of="tables")
@click.pass_context
def diff_command(ctx: click.Context, folder: Path | None, as_json: bool) -> None:
    """Tell what a folder says otherwise than what lies below it; the help that is shown stands in the words."""
    above = folder or places_of(ctx).faults_folder
    lower = below(above)
    found = changes(entries_of(lower), entries_of(above))
    if as_json:
        print(json.dumps({"below": str(lower), "changes": [vars(one) for one in found]}, ensure_ascii=False))
        return
    _tell(say("knowledge_command.diff.head", above=above, below=lower, count=len(found)))
    for one in found:
        _tell(f"{one.file}:{one.line}: {_told_change(one)}")


@click.command("knowledge-update", cls=SaidCommand)
@click.argument("folder", metavar="[FOLDER]", required=False, type=_FOLDER)
@click.option("--json", "as_json", cls=SaidOption, is_flag=True, of="tables")
@click.pass_context
def update_command(ctx: click.Context, folder: Path | None, as_json: bool) -> None:
    """Tell what has changed below a shop's own changes; the help that is shown stands in the words."""
    above = Path(str(folder or places_of(ctx).faults_folder))
    if not lies_over(above):
        raise BadInputError(say("knowledge_command.update.lies_over_none", folder=above))
    theirs = entries_of(below(above))
    try:
        base = kept_in(above)
    except (OSError, ValueError):
        raise BadInputError(say("knowledge_command.update.unreadable", file=above / BASE_FILE)) from None
    found = [] if base is None else list(both_changed(base, theirs, own_entries(above), stack_of(above)[-1].overlay))
    if as_json:
        print(json.dumps({"kept": base is not None, "changes": [vars(one) for one in found]}, ensure_ascii=False))
        return
    for one in found:
        was, now, mine = (json.dumps(value, ensure_ascii=False) for value in (one.base, one.theirs, one.yours))
        _tell(say("knowledge_command.update.one", kind=one.kind, id=one.id, field=one.field or "-"))
        _tell("  " + say("knowledge_command.update.sides", base=was, theirs=now, yours=mine))
    if base is None:
        _tell(say("knowledge_command.update.none_kept"))
    else:
        _tell(say("knowledge_command.update.count", count=len(found)))
    if not is_watched():
        return
    if base is None:
        if click.confirm(say("knowledge_command.update.ask"), default=False):
            _written(above, {BASE_FILE: base_of(theirs)})
            _tell(say("knowledge_command.update.kept"))
        return
    _settle_each(above, base, theirs, found)


def is_watched() -> bool:
    """Whether somebody sits there who can be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def _settle_each(above: Path, base: Base, theirs: Entries, found: Sequence[BothChanged]) -> None:
    """Ask of each conflict what is to hold, and write it so: nothing is written before the last answer."""
    decided = [(one, _side_of(one)) for one in found]
    contents = contents_of(above)[0]
    changed = settled(contents, own_entries(above), str(above), decided)
    kept = base_after(base, theirs, decided)
    _written(above, {**{name: text for name, text in changed.items() if text is not None}, BASE_FILE: kept})
    for name, content in changed.items():
        if content is None:
            (above / name).unlink(missing_ok=True)
    left = sum(side == "later" for _, side in decided)
    _tell(say("knowledge_command.update.settled", files=len(changed), left=left))
    # What was settled one by one may not go together; it is told at once, and `check` tells it all.
    load(above)


def _side_of(one: BothChanged) -> Side:
    """What is to hold of one conflict; asked again until it is clear."""
    typed = said("knowledge_command.update.typed")
    sides = sides_of(one)
    field = f"{one.kind} `{one.id}`, {one.field or '-'}"
    question = say(
        "knowledge_command.update.which", field=field, sides=", ".join(typed[side].split(",")[0] for side in sides)
    )
    while True:
        answer = without_accents(click.prompt(question, default="", show_default=False).strip())
        for side in sides:
            if answer and answer in {without_accents(word.strip()) for word in typed[side].split(",")}:
                return side


def _written(above: Path, files: dict[str, bytes]) -> None:
    try:
        write_files(above, files, over=True)
    except OSError as error:
        raise BadInputError(f"{error.filename or above}: {why_not(error)}") from error


def _told_change(one: Change) -> str:
    """A change in words."""
    part = "field" if one.field else "entry"
    was, now = (json.dumps(value, ensure_ascii=False) for value in (one.was, one.now))
    return say(f"knowledge_command.diff.{one.what}.{part}", kind=one.kind, id=one.id, field=one.field, was=was, now=now)


def _tell(line: str) -> None:
    click.echo(folded(line, sys.stdout, rest="    "))


knowledge_command.add_command(use_command, "use")
knowledge_command.add_command(edit_command, "edit")
knowledge_command.add_command(diff_command, "diff")
knowledge_command.add_command(update_command, "update")
knowledge_command.add_command(bundle_command, "bundle")
knowledge_command.add_command(take_command, "take")
knowledge_command.add_command(back_command, "back")

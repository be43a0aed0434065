"""The command that looks through a faults folder and prints every mistake, danger and doubt in it, one a line."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import click

from engine.evaluation.look_over import LookedOver, look_over
from engine.evaluation.manual import manuals
from engine.foundation.problems import KnowledgeError, advice_for, why_not
from engine.foundation.texts import say
from engine.knowledge.upgrade import restamp, upgrade_folder
from interview.command_line.context import Places, places_of
from interview.command_line.finding_forms import FORMS
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.worked_calls import warn_of_faults_here


@click.command("check", cls=SaidCommand)
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@click.option(
    "--format",
    "form",
    cls=SaidOption,
    metavar="FORM",
    type=click.Choice(tuple(FORMS)),
    default="lines",
    show_default=True,
)
@click.option("--json", "as_json", cls=SaidOption, is_flag=True)
@click.option("--explain", cls=SaidOption, metavar="RULE")
@click.option("--upgrade", cls=SaidOption, is_flag=True)
@click.option("--restamp", "read_again", cls=SaidOption, is_flag=True)
@click.option("--watch", "watched", cls=SaidOption, is_flag=True)
@click.option("--verbose", cls=SaidOption, is_flag=True)
@click.pass_context
def check(
    ctx: click.Context,
    folder: Path | None,
    form: str,
    as_json: bool,
    explain: str | None,
    upgrade: bool,
    read_again: bool,
    watched: bool,
    verbose: bool,
) -> None:
    """Look through a faults folder for mistakes; the help that is shown stands in the words."""
    places = places_of(ctx)
    if explain is not None:
        _explain(explain)
        return
    if folder is None:
        warn_of_faults_here(places)

    def tell(looked: LookedOver) -> None:
        text = FORMS["json" if as_json else form](looked.found, looked.stops())
        if text:
            click.echo(text)
        for language, missing in looked.missing.items():
            if missing and language != places.language:
                click.echo(say("overlay.lacking", language=language, count=len(missing)), err=True)
        if verbose:
            _count(looked, str(folder or places.faults_folder))

    if watched:
        # Late: what runs worked calls takes as long to import as the check takes.
        from interview.command_line.watching import watch

        place = Path(str(folder or places.faults_folder))
        watch(place, lambda: _looked(places, folder, False, False), tell, click.echo)
        return
    looked = _looked(places, folder, upgrade, read_again)
    tell(looked)
    if looked.stops():
        sys.exit(1)


def _looked(places: Places, folder: Path | None, upgrade: bool, read_again: bool) -> LookedOver:
    """What is found in the folder, once it was upgraded or stamped where that was asked for.

    What the language lacks that a command line names is a mistake there.
    """
    try:
        if upgrade:
            _upgrade(folder or places.faults)
        if read_again:
            _restamp(folder or places.faults)
    except KnowledgeError as error:
        return LookedOver(error.problems, {})
    looked = look_over(folder or places.faults_folder)
    lacking = looked.missing.get(places.language or "", ())
    own = f"{folder or places.faults_folder}/"
    # What somebody wrote comes before what no longer hangs together below it.
    found = sorted({*looked.found, *lacking}, key=lambda each: (not each.file.startswith(own), each))
    return replace(looked, found=tuple(found))


def _explain(rule: str) -> None:
    """Print what a rule demands; of `all`, every one."""
    known = manuals()
    if rule != "all" and rule not in known:
        raise click.UsageError(say("command_line.explain.unknown", rule=rule, advice=advice_for(rule, known)))
    for name in known if rule == "all" else [rule]:
        manual = known[name]
        click.echo(f"{name} ({say(f'errors.grade.{manual.grade}')})\n\n{manual.text}\n")
        if manual.may_be_meant:
            click.echo(say("command_line.explain.meant", rule=name) + "\n")


def _count(looked: LookedOver, place: str) -> None:
    """Say how much was looked at, and how much was found."""
    if looked.found:
        click.echo(say("command_line.mistakes", count=len(looked.found), place=place), err=True)
    if looked.knowledge is not None and not looked.stops():
        names = ("trees", "causes", "checks", "repairs")
        trees, causes, checks, repairs = (len(getattr(looked.knowledge, name)) for name in names)
        counted = say(
            "command_line.checked",
            trees=trees, causes=causes, checks=checks, repairs=repairs, fingerprint=looked.knowledge.fingerprint,
        )  # fmt: skip
        click.echo(counted, err=True)


def _upgrade(folder: Path | None) -> None:
    """Turn an older folder into the present form, and tell what was done and what is left to do."""
    if folder is None:
        raise click.UsageError(say("command_line.upgrade.which"))
    try:
        done = upgrade_folder(folder)
    except OSError as error:
        raise click.ClickException(say("command_line.upgrade.failed", folder=folder, why=why_not(error))) from None
    if done.kept is None:
        click.echo(say("command_line.upgrade.nothing", folder=folder), err=True)
        return
    for problem in done.left:
        click.echo(str(problem))
    fields = {"folder": folder, "version": done.version, "count": len(done.files), "kept": done.kept}
    click.echo(say("command_line.upgrade.done", **fields), err=True)


def _restamp(folder: Path | None) -> None:
    """Renew the stamps of translations that somebody has read, and name each."""
    if folder is None:
        raise click.UsageError(say("command_line.restamp.which"))
    try:
        renewed = restamp(folder)
    except OSError as error:
        raise click.ClickException(say("command_line.restamp.failed", folder=folder, why=why_not(error))) from None
    for problem in renewed:
        click.echo(str(problem), err=True)

"""The command that looks through a faults folder and prints every mistake in it, one a line."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import NoReturn

import click

from engine.foundation.problems import KnowledgeError, Problem, why_not
from engine.foundation.texts import say
from engine.knowledge.loader import load_knowledge
from engine.knowledge.translation_check import look_through
from engine.knowledge.upgrade import restamp, upgrade_folder
from interview.command_line.context import places_of
from interview.command_line.help import SaidCommand, SaidOption

_MOST_TOLD = 500
"""So many mistakes are told at once; who has mended those sees the others."""


@click.command("check", cls=SaidCommand)
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@click.option("--upgrade", cls=SaidOption, is_flag=True)
@click.option("--restamp", "read_again", cls=SaidOption, is_flag=True)
@click.option("--verbose", cls=SaidOption, is_flag=True)
@click.pass_context
def check(ctx: click.Context, folder: Path | None, upgrade: bool, read_again: bool, verbose: bool) -> None:
    """Look through a faults folder for mistakes; the help that is shown stands in the words."""
    places = places_of(ctx)
    place = folder or places.faults_folder
    try:
        if upgrade:
            _upgrade(folder or places.faults)
        if read_again:
            _restamp(folder or places.faults)
        knowledge = load_knowledge(place)
    except KnowledgeError as error:
        _fail(error.problems, place, verbose)
    looked = look_through(place)
    problems = [*looked.problems, *looked.missing.get(places.language or "", ())]
    if problems:
        _fail(problems, place, verbose)
    for language, missing in looked.missing.items():
        if missing:
            click.echo(say("overlay.lacking", language=language, count=len(missing)), err=True)
    if verbose:
        names = ("trees", "causes", "checks", "repairs")
        trees, causes, checks, repairs = (len(getattr(knowledge, name)) for name in names)
        counted = say(
            "command_line.checked",
            trees=trees, causes=causes, checks=checks, repairs=repairs, fingerprint=knowledge.fingerprint,
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


def _fail(problems: Iterable[Problem], place: Path | Traversable, verbose: bool) -> NoReturn:
    """Print the mistakes and leave."""
    told = sorted(problems)
    for problem in told[:_MOST_TOLD]:
        click.echo(str(problem))
    if len(told) > _MOST_TOLD:
        click.echo(say("command_line.more_mistakes", count=len(told) - _MOST_TOLD))
    if verbose:
        click.echo(say("command_line.mistakes", count=len(told), place=place), err=True)
    sys.exit(1)

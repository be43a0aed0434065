"""The command that looks through a faults folder and prints every mistake in it, one a line."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import NoReturn

import click

from engine.errors import KnowledgeError, Problem
from engine.loading.languages import look_through
from engine.loading.phrases import say
from engine.loading.treefile import load_knowledge
from interview.running import Places

__all__ = ["check"]


@click.command()
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@click.option("--verbose", is_flag=True, help="Say on standard error how much was checked.")
@click.pass_obj
def check(places: Places | None, folder: Path | None, verbose: bool) -> None:
    """Look through a faults folder for mistakes.

    Prints a line for each: file:line:column: what is wrong; what to write instead.
    Without FOLDER it looks through the fault trees that came with the program.
    Prints nothing where all is well. Leaves with 1 where there was a mistake, with 0 where there was none.
    Its languages are looked through too. Texts that one lacks are counted on standard error, and are mistakes only
    where that language was asked for.

    \b
    Examples:
      brinecall check
      brinecall check my-faults
      brinecall --language es check my-faults
    """
    place: Path | Traversable = files("faults") if folder is None else folder
    try:
        knowledge = load_knowledge(place)
    except KnowledgeError as error:
        _fail(error.problems, place, verbose)
    looked = look_through(place)
    wanted = None if places is None else places.language
    problems = [*looked.problems, *looked.missing.get(wanted or "", ())]
    if problems:
        _fail(problems, place, verbose)
    for language, missing in looked.missing.items():
        if missing:
            click.echo(say("overlay.lacking", language=language, count=len(missing)), err=True)
    if verbose:
        kinds = f"{len(knowledge.trees)} trees, {len(knowledge.causes)} causes, {len(knowledge.checks)} checks"
        click.echo(f"{kinds}, {len(knowledge.repairs)} repairs; knowledge {knowledge.fingerprint}", err=True)


def _fail(problems: Iterable[Problem], place: Path | Traversable, verbose: bool) -> NoReturn:
    """Print the mistakes and leave."""
    told = sorted(problems)
    for problem in told:
        click.echo(str(problem))
    if verbose:
        click.echo(f"{len(told)} mistakes in {place}", err=True)
    sys.exit(1)

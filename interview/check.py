"""The command that looks through a faults folder and prints every mistake in it, one a line."""

from __future__ import annotations

import sys
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

import click

from engine.errors import KnowledgeError
from engine.loading.treefile import load_knowledge

__all__ = ["check"]


@click.command()
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@click.option("--verbose", is_flag=True, help="Say on standard error how much was checked.")
def check(folder: Path | None, verbose: bool) -> None:
    """Look through a faults folder for mistakes.

    Prints a line for each: file:line:column: what is wrong; what to write instead.
    Without FOLDER it looks through the fault trees that came with the program.
    Prints nothing where all is well. Leaves with 1 where there was a mistake, with 0 where there was none.

    \b
    Examples:
      brinecall check
      brinecall check my-faults
    """
    place: Path | Traversable = files("faults") if folder is None else folder
    try:
        knowledge = load_knowledge(place)
    except KnowledgeError as error:
        for problem in error.problems:
            click.echo(str(problem))
        if verbose:
            click.echo(f"{len(error.problems)} mistakes in {place}", err=True)
        sys.exit(1)
    if verbose:
        kinds = f"{len(knowledge.trees)} trees, {len(knowledge.causes)} causes, {len(knowledge.checks)} checks"
        click.echo(f"{kinds}, {len(knowledge.repairs)} repairs; knowledge {knowledge.fingerprint}", err=True)

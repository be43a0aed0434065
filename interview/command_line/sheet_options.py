"""The options that commands share which give out a sheet, and what they add up to."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar, get_args

import click

from engine.foundation.texts import say
from engine.quantities.unit_systems import System, use_system
from interview.command_line.console import folded
from interview.command_line.help import SaidOption
from interview.command_line.output import Form, RenderOptions
from interview.storage.settings import remember_units, units_in_use

Decorated = TypeVar("Decorated", bound=Callable[..., Any])

_AUDIENCES = ("customer", "technician", "shop")
_SCHEMAS = ("1", "2")
"""Versions of the JSON, as `reports/schema/` describes them; the last one is usual."""
WIDTH, _LEAST_COLUMNS, _MOST_COLUMNS = 80, 30, 200


def sheet_options(*, columns: bool) -> Callable[[Decorated], Decorated]:
    """The options that say for whom a sheet is, in which form and where; with `columns`, how wide its text is too."""
    options = [
        click.option("--for", "audience", cls=SaidOption, of="sheets", type=click.Choice(_AUDIENCES)),
        click.option("--as", "form", cls=SaidOption, of="sheets", type=click.Choice(get_args(Form))),
        click.option("-o", "--output", cls=SaidOption, of="sheets", metavar="FILE", type=click.Path(path_type=Path)),
        click.option("--units", cls=SaidOption, of="sheets", type=click.Choice(get_args(System))),
        click.option("--once", cls=SaidOption, of="sheets", is_flag=True),
        click.option("--annex", cls=SaidOption, of="sheets", is_flag=True, default=None),
        click.option("--large", cls=SaidOption, of="sheets", is_flag=True),
        click.option("--schema", cls=SaidOption, of="sheets", type=click.Choice(_SCHEMAS)),
    ]
    if columns:
        wide = click.IntRange(_LEAST_COLUMNS, _MOST_COLUMNS)
        options.append(
            click.option("--columns", cls=SaidOption, of="sheets", type=wide, default=WIDTH, show_default=True)
        )

    def decorate(command: Decorated) -> Decorated:
        for option in reversed(options):
            command = option(command)
        return command

    return decorate


def _fitting(columns: int) -> int:
    """The columns wished for; the usual ones are no more than a terminal has."""
    if columns != WIDTH or not sys.stdout.isatty():
        return columns
    return max(min(WIDTH, shutil.get_terminal_size().columns), _LEAST_COLUMNS)


def wish_of(options: Mapping[str, Any]) -> RenderOptions:
    """What these options ask for, asked and told in its units from now on.

    Units that are named are kept for the next time too, and a change is told, unless they are wanted once.

    Raises UsageError where no units are named that could be wanted once.
    """
    named: System | None = options["units"]
    if options["once"] and named is None:
        raise click.UsageError(say("sheet_command.once_without_units"))
    before = units_in_use()
    if named is not None and not options["once"] and remember_units(named) and named != before:
        print(folded(f"brinecall: {say(f'sheet_command.units_changed.{named}')}", sys.stderr), file=sys.stderr)
    units = named or before
    use_system(units)
    return RenderOptions(
        audience=options["audience"],
        form=options["form"],
        units=units,
        columns=_fitting(options.get("columns", WIDTH)),
        target=options["output"],
        annex=bool(options["annex"]),
        schema=int(options["schema"] or _SCHEMAS[-1]),
        large=bool(options["large"]),
    )

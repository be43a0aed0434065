"""The options that commands share which give out a sheet, and what they add up to."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar, get_args

import click

from engine.quantities.unit_systems import System
from interview.command_line.help import SaidOption
from interview.command_line.output import Form, RenderOptions
from interview.storage.settings import remember_units

Decorated = TypeVar("Decorated", bound=Callable[..., Any])

_AUDIENCES = ("customer", "technician", "shop")
WIDTH, _LEAST_COLUMNS, _MOST_COLUMNS = 80, 30, 200


def sheet_options(*, columns: bool) -> Callable[[Decorated], Decorated]:
    """The options that say for whom a sheet is, in which form and where; with `columns`, how wide its text is too."""
    options = [
        click.option("--for", "audience", cls=SaidOption, of="sheets", type=click.Choice(_AUDIENCES)),
        click.option("--as", "form", cls=SaidOption, of="sheets", type=click.Choice(get_args(Form))),
        click.option("-o", "--output", cls=SaidOption, of="sheets", metavar="FILE", type=click.Path(path_type=Path)),
        click.option("--units", cls=SaidOption, of="sheets", type=click.Choice(get_args(System))),
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


def wish_of(options: Mapping[str, Any]) -> RenderOptions:
    """What these options ask for; units that were named are remembered."""
    units: System | None = options["units"]
    if units is not None:
        remember_units(units)
    return RenderOptions(
        audience=options["audience"],
        form=options["form"],
        units=units,
        columns=options.get("columns", WIDTH),
        target=options["output"],
    )

"""The commands `brinecall draw` and `brinecall card`: a fault tree as a drawing, and as a paper for the van."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import get_args

import click

from engine.foundation.texts import say
from engine.knowledge.required import DEFAULT_UNIT
from engine.quantities.unit_systems import System
from engine.session.models import Models
from interview.command_line.completing import known_ids
from interview.command_line.context import clock, places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.job_sheet import rendered
from interview.command_line.output import (
    SheetError,
    form_for,
    print_paper,
    refuse_to_print,
    write_paper,
)
from interview.command_line.startup import load
from interview.command_line.targets import inputs_of
from interview.storage.settings import units_in_use
from interview.storage.shop_file import shop_in_use
from reports.card.document import card_document
from reports.card.page import card_page
from reports.card.questions import DEPTH, question_drawing
from reports.card.unroll import MOST_BOXES, unroll
from reports.tree_diagram.chart import tree_drawing
from reports.tree_diagram.forms import FORMS

_DRAWN = ("text", "svg", "html", "mermaid")
_SHOWN = ("questions", "machine")
_CARDS = ("text", "html", "pdf", "markdown", "page")
_PATIENCE_S = 1.0


@click.command("draw", cls=SaidCommand)
@click.argument("tree", shell_complete=known_ids("trees"))
@click.option("--as", "form", cls=SaidOption, of="drawings", type=click.Choice(_DRAWN))
@click.option("-o", "--output", cls=SaidOption, of="drawings", metavar="FILE", type=click.Path(path_type=Path))
@click.option("--show", cls=SaidOption, type=click.Choice(_SHOWN), default=_SHOWN[0], show_default=True)
@click.option("--depth", cls=SaidOption, type=click.IntRange(1, MOST_BOXES), default=DEPTH, show_default=True)
@click.pass_context
def draw_command(ctx: click.Context, tree: str, form: str | None, output: Path | None, show: str, depth: int) -> None:
    """Draw a tree; the help that is shown stands in the words."""
    wanted = form_for(form, output, _DRAWN)
    refuse_to_print(wanted, output, inputs_of(places_of(ctx)))
    models = _models(ctx)
    _look_up(models, tree)
    if show == "machine":
        drawing = tree_drawing(models.knowledge, tree)
    else:
        with _progress() as told:
            drawing = question_drawing(models.knowledge, unroll(models, tree, told=told), depth)
    _give_out(FORMS[wanted](drawing).encode(), wanted, output)


@click.command("card", cls=SaidCommand)
@click.argument("tree", shell_complete=known_ids("trees"))
@click.option("--as", "form", cls=SaidOption, of="drawings", type=click.Choice(_CARDS))
@click.option("-o", "--output", cls=SaidOption, of="drawings", metavar="FILE", type=click.Path(path_type=Path))
@click.option("--units", cls=SaidOption, type=click.Choice(get_args(System)))
@click.option("--unit", cls=SaidOption, default=DEFAULT_UNIT, show_default=True, shell_complete=known_ids("units"))
@click.pass_context
def card_command(
    ctx: click.Context, tree: str, form: str | None, output: Path | None, units: System | None, unit: str
) -> None:
    """Print the card of a tree; the help that is shown stands in the words."""
    wanted = form_for(form, output, _CARDS)
    refuse_to_print(wanted, output, inputs_of(places_of(ctx)))
    models, system = _models(ctx), units or units_in_use()
    _look_up(models, tree, unit)
    with _progress() as told:
        card = unroll(models, tree, unit=unit, told=told)
    today: date = clock().date()
    if wanted == "page":
        _give_out(card_page(models.knowledge, card, _shop(), today.isoformat(), system).encode(), wanted, output)
        return
    document = card_document(models.knowledge, card, _shop(), today.isoformat(), system)
    _give_out(rendered([document], wanted, system), wanted, output)


def _shop() -> str:
    """What the shop tells of itself, in the one line that a card has for it."""
    shop = shop_in_use()
    return " · ".join((shop.head, *shop.below_the_name()))


def _models(ctx: click.Context) -> Models:
    return load(places_of(ctx).faults_folder)


def _look_up(models: Models, tree: str, unit: str = DEFAULT_UNIT) -> None:
    """Raises SheetError for a tree or unit profile that the knowledge has not."""
    known = models.knowledge
    if tree not in known.trees:
        raise SheetError(say("card.commands.unknown_tree", tree=tree, trees=", ".join(known.trees)))
    if unit not in known.units:
        raise SheetError(say("card.commands.unknown_unit", unit=unit, units=", ".join(known.units)))


def _give_out(made: bytes, form: str, output: Path | None) -> None:
    if output is None:
        print_paper(made, form)
    else:
        write_paper(made, output, private=False)
        print(say("card.commands.saved", path=output))


@contextmanager
def _progress() -> Iterator[Callable[[int, int], None] | None]:
    """A line on a terminal's standard error that says how far it is, once it takes longer than a second."""
    if not sys.stderr.isatty():
        yield None
        return
    began, shown = time.monotonic(), [0]

    def told(done: int, most: int) -> None:
        if time.monotonic() - began > _PATIENCE_S:
            line = say("card.commands.progress", done=done, most=most)
            print(f"\r{line:<{shown[0]}}", end="", file=sys.stderr, flush=True)
            shown[0] = len(line)

    try:
        yield told
    finally:
        if shown[0]:
            print(f"\r{' ' * shown[0]}\r", end="", file=sys.stderr, flush=True)

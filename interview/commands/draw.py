"""The commands `brinecall draw` and `brinecall card`: a fault tree as a drawing, and as a paper for the van."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from engine.foundation.problems import why_not
from engine.foundation.texts import say
from engine.knowledge.required import DEFAULT_UNIT
from interview.commands.context import clock, places_of
from interview.commands.help import SaidCommand, SaidOption
from interview.commands.output import SheetError, refuse_target
from interview.commands.startup import known_ids, load
from interview.frontends.encoding import legible
from interview.storage.atomic_write import write_whole
from interview.storage.settings import units_in_use

if TYPE_CHECKING:
    from engine.quantities.unit_systems import System
    from engine.session.models import Models
    from reports.document import Document

_DRAWN = ("text", "svg", "html", "mermaid")
_CARDS = ("text", "html", "pdf", "markdown")
_ENDINGS: Mapping[str, str] = {
    ".svg": "svg", ".html": "html", ".htm": "html", ".mmd": "mermaid", ".mermaid": "mermaid",
    ".pdf": "pdf", ".md": "markdown", ".txt": "text",
}  # fmt: skip
_WRITTEN = ("text", "markdown", "mermaid")
_PATIENCE_S = 1.0


@click.command("draw", cls=SaidCommand)
@click.argument("tree", shell_complete=known_ids("trees"))
@click.option("--as", "form", cls=SaidOption, of="drawings", type=click.Choice(_DRAWN))
@click.option("-o", "--output", cls=SaidOption, of="drawings", metavar="FILE", type=click.Path(path_type=Path))
@click.pass_context
def draw_command(ctx: click.Context, tree: str, form: str | None, output: Path | None) -> None:
    """Draw a tree; the help that is shown stands in the words."""
    from reports.tree_diagram.chart import tree_drawing
    from reports.tree_diagram.forms import FORMS

    wanted = _form(form, output, _DRAWN)
    refuse_target(output)
    models = _models(ctx)
    _look_up(models, tree)
    _give_out(FORMS[wanted](tree_drawing(models.knowledge, tree)).encode(), wanted, output)


@click.command("card", cls=SaidCommand)
@click.argument("tree", shell_complete=known_ids("trees"))
@click.option("--as", "form", cls=SaidOption, of="drawings", type=click.Choice(_CARDS))
@click.option("-o", "--output", cls=SaidOption, of="drawings", metavar="FILE", type=click.Path(path_type=Path))
@click.option("--units", cls=SaidOption, type=click.Choice(["metric", "us"]))
@click.option("--unit", cls=SaidOption, default=DEFAULT_UNIT, show_default=True, shell_complete=known_ids("units"))
@click.pass_context
def card_command(
    ctx: click.Context, tree: str, form: str | None, output: Path | None, units: System | None, unit: str
) -> None:
    """Print the card of a tree; the help that is shown stands in the words."""
    from reports.card.document import card_document
    from reports.card.unroll import unroll
    from reports.view import SHOP

    wanted = _form(form, output, _CARDS)
    if wanted == "pdf" and output is None and sys.stdout.isatty():
        raise SheetError(say("sheet_command.pdf_to_terminal"))
    refuse_target(output)
    models, system = _models(ctx), units or units_in_use()
    _look_up(models, tree, unit)
    with _progress() as told:
        card = unroll(models, tree, unit=unit, told=told)
    today: date = clock().date()
    document = card_document(models.knowledge, card, SHOP, today.isoformat(), system)
    _give_out(_made(document, wanted, system), wanted, output)


def _made(document: Document, form: str, system: System) -> bytes:
    """A card in a form. Raises SheetError where that form cannot be made on this machine."""
    paper: Literal["a4", "letter"] = "letter" if system == "us" else "a4"
    if form == "html":
        from reports.renderers.html import html_form

        return html_form([document], paper).encode()
    if form == "pdf":
        from reports.renderers.pdf import PdfNotInstalledError, pdf_form

        try:
            return pdf_form([document], paper)
        except PdfNotInstalledError as error:
            raise SheetError(str(error)) from error
    if form == "markdown":
        from reports.renderers.markdown import markdown_form

        return markdown_form([document]).encode()
    from reports.renderers.text import text_form

    return text_form([document]).encode()


def _models(ctx: click.Context) -> Models:
    return load(places_of(ctx).faults_folder)


def _look_up(models: Models, tree: str, unit: str = DEFAULT_UNIT) -> None:
    """Raises SheetError for a tree or unit profile that the knowledge has not."""
    known = models.knowledge
    if tree not in known.trees:
        raise SheetError(say("card.commands.unknown_tree", tree=tree, trees=", ".join(known.trees)))
    if unit not in known.units:
        raise SheetError(say("card.commands.unknown_unit", unit=unit, units=", ".join(known.units)))


def _form(form: str | None, output: Path | None, forms: tuple[str, ...]) -> str:
    """The form asked for, or that of the file's ending, or text."""
    ending = _ENDINGS.get(output.suffix.lower(), "text") if output is not None else "text"
    return form or (ending if ending in forms else "text")


def _give_out(made: bytes, form: str, output: Path | None) -> None:
    """Write to the file, whole or not at all, or to the standard output. Raises SheetError where that cannot be."""
    if output is None and form in _WRITTEN:
        print(legible(made.decode(), sys.stdout.encoding), end="")
        return
    if output is None:
        sys.stdout.flush()
        sys.stdout.buffer.write(made)
        return
    try:
        write_whole(output, made)
    except OSError as error:
        raise SheetError(say("sheet_command.not_written", path=output, why=why_not(error))) from error


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

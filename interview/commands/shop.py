"""The command `brinecall shop`: what the shop tells of itself on every paper; shown, asked for, changed, copied."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import click

from engine.foundation.bounded_read import read_at_most
from engine.foundation.problems import shown, why_not
from engine.foundation.texts import say
from interview.command_line.console import folded
from interview.command_line.context import BadInputError, places_of
from interview.command_line.help import SaidCommand, SaidOption
from interview.command_line.output import SheetError, refuse_early
from interview.command_line.targets import inputs_of
from interview.storage.settings import shop_file
from interview.storage.shop_file import (
    PICTURE,
    TEXTS,
    ShopFileError,
    read_shop,
    shop_in_use,
    with_text,
    write_shop,
)
from reports.harmless_picture import MOST_BYTES, PictureError, harmless
from reports.letterhead import Letterhead

_NOTHING = "-"
"""Typed for what is to be empty from now on; an empty line leaves it as it is."""
_FILE = click.Path(path_type=Path)


@click.command("shop", cls=SaidCommand)
@click.option("--name", cls=SaidOption)
@click.option("--telephone", cls=SaidOption)
@click.option("--address", cls=SaidOption)
@click.option("--licence", cls=SaidOption)
@click.option("--hours", cls=SaidOption)
@click.option("--closing", cls=SaidOption)
@click.option("--picture", cls=SaidOption, metavar="FILE", type=click.Path())
@click.option("--take", cls=SaidOption, metavar="FILE", type=_FILE)
@click.option("-o", "--output", cls=SaidOption, metavar="FILE", type=_FILE)
@click.pass_context
def shop_command(ctx: click.Context, /, take: Path | None, output: Path | None, **told: str | None) -> None:
    """Show the shop and change it; the help that is shown stands in the words."""
    if output is not None:
        refuse_early("text", output, inputs_of(places_of(ctx), *([] if take is None else [take])))
    before = shop_in_use()
    now = before if take is None else _taken(take)
    given = {field: text for field, text in told.items() if text is not None}
    for field, text in given.items():
        now = _changed(now, field, text)
    if take is output is None and not given and sys.stdin.isatty() and sys.stdout.isatty():
        now = _asked(now)
    if now != before:
        _keep(now, shop_file())
    _show(now)
    if output is not None:
        _keep(now, output)


def _taken(path: Path) -> Letterhead:
    """The shop of a file from another counter. Raises BadInputError where it is none."""
    try:
        return read_shop(path)
    except OSError as error:
        raise BadInputError(f"{path}: {why_not(error)}") from error
    except ShopFileError as error:
        raise BadInputError(f"{path}: {error}") from error


def _changed(shop: Letterhead, field: str, typed: str) -> Letterhead:
    """The shop with one thing told anew, a picture by its file. Raises BadInputError where it cannot be used."""
    text = "" if typed.strip() == _NOTHING else typed
    # A file that is drawn onto a terminal comes in quotation marks.
    text = text.strip().strip("'\"") if field == PICTURE else text
    try:
        return with_text(shop, field, text) if field != PICTURE else replace(shop, picture=_picture(text))
    except (ShopFileError, PictureError) as error:
        raise BadInputError(str(error)) from error


def _picture(name: str) -> bytes:
    """The picture of a file, made harmless, with a line for what was left out; no bytes where no file is named."""
    if not name:
        return b""
    try:
        picture = harmless(read_at_most(Path(name).expanduser(), MOST_BYTES + 1))
    except (OSError, RuntimeError) as error:
        why = why_not(error) if isinstance(error, OSError) else str(error)
        raise PictureError(say("shop_command.picture.unreadable", path=shown(name), why=why)) from error
    if picture.left_out:
        print(_folded(say("shop_command.picture.left_out", parts=shown(", ".join(picture.left_out), 300))))
    return picture.content


def _asked(shop: Letterhead) -> Letterhead:
    """The shop as it is told in answer to a question for each thing; what cannot be used is asked again."""
    print(_folded(say("shop_command.how_to_answer")))
    for field in (*TEXTS, PICTURE):
        while True:
            typed = _typed(_question(shop, field))
            try:
                shop = _changed(shop, field, typed) if typed.strip() else shop
                break
            except BadInputError as error:
                print(_folded(str(error)))
    return shop


def _typed(question: str) -> str:
    """What is typed for a question. Raises Abort where the person breaks off, after it is said that nothing is kept."""
    try:
        return str(click.prompt(_folded(question), default="", show_default=False))
    except click.Abort:
        print(f"\n{_folded(say('shop_command.broken_off'))}")
        raise


def _question(shop: Letterhead, field: str) -> str:
    now = _told(shop)[field]
    asked = say(f"shop_command.questions.{field}")
    return say("shop_command.now", question=asked, now=now) if now else asked


def _told(shop: Letterhead) -> Mapping[str, str]:
    """Each thing as it stands, in words; empty where it was not told."""
    texts = {field: getattr(shop, field) for field in TEXTS}
    if not shop.picture:
        return texts | {PICTURE: ""}
    kind = "PNG" if shop.picture_type == "image/png" else "SVG"
    size = (len(shop.picture) + 999) // 1000
    return texts | {PICTURE: say("shop_command.picture.there", kind=kind, size=size)}


def _show(shop: Letterhead) -> None:
    for field, text in _told(shop).items():
        about = say(f"shop_command.fields.{field}")
        print(_folded(say("shop_command.line", about=about, told=text or say("shop_command.untold"))))


def _keep(shop: Letterhead, path: Path) -> None:
    """Write the shop's file and say where and what it is good for. Raises SheetError where it cannot be written."""
    try:
        if path == shop_file():
            path.parent.mkdir(parents=True, exist_ok=True)
        write_shop(shop, path)
    except OSError as error:
        raise SheetError(say("sheet_command.not_written", path=path, why=why_not(error))) from error
    print(_folded(say("shop_command.kept", path=path)))


def _folded(line: str) -> str:
    return folded(line, sys.stdout)

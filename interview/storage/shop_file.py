"""What the shop has told of itself, in one file that can be copied to other counters; its picture is inside it."""

from __future__ import annotations

import json
import sys
from base64 import b64decode, b64encode
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from engine.foundation.bounded_read import read_at_most
from engine.foundation.plain_text import cleaned
from engine.foundation.problems import shown, why_not
from engine.foundation.texts import say
from interview.storage.atomic_write import write_whole
from interview.storage.settings import shop_file
from reports.harmless_picture import MOST_BYTES, PictureError, harmless
from reports.letterhead import NO_SHOP, Letterhead

TEXTS: Mapping[str, int] = {"name": 80, "telephone": 40, "address": 120, "licence": 60, "hours": 100, "closing": 160}
"""What a shop tells in words, and the most letters of each: with all of it the head takes four lines of a page."""
PICTURE = "picture"
_FORMAT, _VERSION = "brinecall-shop", 1
_MOST_BYTES = 2 * MOST_BYTES


class ShopFileError(Exception):
    """What is told of a shop, or a file of it, cannot be used; the text says where, why, and what to do."""


def shop_in_use() -> Letterhead:
    """The shop as it stands on papers; where its file cannot be used that is said, and no shop stands there."""
    try:
        return read_shop(shop_file())
    except FileNotFoundError:
        return NO_SHOP
    except (OSError, ShopFileError) as error:
        why = why_not(error) if isinstance(error, OSError) else str(error)
        line = say("shop_command.not_used", path=shop_file(), why=why)
        print(f"brinecall: {shown(line, 1000)}", file=sys.stderr)
        return NO_SHOP


def warn_without_name(shop: Letterhead) -> None:
    """Say how to set a shop up where something leaves for a customer under no shop's name."""
    if not shop.name:
        print(f"brinecall: {say('shop_command.not_set_up')}", file=sys.stderr)


def read_shop(path: Path) -> Letterhead:
    """The shop of a file, from wherever that comes.

    Raises:
        OSError: it cannot be read, or is not there.
        ShopFileError: it is no such file.
    """
    try:
        data = json.loads(read_at_most(path, _MOST_BYTES))
    except (ValueError, RecursionError) as error:
        raise ShopFileError(say("shop_command.file.broken")) from error
    if not isinstance(data, dict) or data.get(_FORMAT) != _VERSION:
        raise ShopFileError(say("shop_command.file.broken"))
    shop = NO_SHOP
    for field in TEXTS:
        shop = with_text(shop, field, _text(data, field))
    picture = _text(data, PICTURE)
    try:
        return replace(shop, picture=harmless(b64decode(picture, validate=True)).content) if picture else shop
    except (ValueError, PictureError) as error:
        raise ShopFileError(say("shop_command.file.picture", why=error)) from error


def write_shop(shop: Letterhead, path: Path) -> None:
    """Keep a shop in a file, whole or not at all. Raises OSError where it cannot be written."""
    told = {field: getattr(shop, field) for field in TEXTS if getattr(shop, field)}
    data: dict[str, Any] = {_FORMAT: _VERSION, **told}
    if shop.picture:
        data[PICTURE] = b64encode(shop.picture).decode()
    write_whole(path, (json.dumps(data, ensure_ascii=False, indent=2) + "\n").encode())


def with_text(shop: Letterhead, field: str, text: str) -> Letterhead:
    """The shop with one of its `TEXTS` as it was told now; an empty one is told no more.

    Raises ShopFileError where it is too long.
    """
    told = cleaned(text)
    if len(told) > TEXTS[field]:
        about = say(f"shop_command.fields.{field}")
        raise ShopFileError(say("shop_command.too_long", about=about, count=len(told), most=TEXTS[field]))
    changed: dict[str, Any] = {field: told}
    return replace(shop, **changed)


def _text(data: Mapping[str, Any], field: str) -> str:
    told = data.get(field, "")
    if not isinstance(told, str):
        raise ShopFileError(say("shop_command.file.no_text", field=field))
    return told

"""Whose papers these are: what the shop has told of itself, and how that stands at the head and the foot of a paper."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from engine.foundation.plain_text import cleaned
from engine.foundation.texts import say

PNG_BEGINS = b"\x89PNG\r\n\x1a\n"
"""How a PNG begins. Source: PNG, third edition (W3C, 2025), 5.2 (from memory)."""


@dataclass(frozen=True)
class Letterhead:
    """A shop as it stands on its papers; what it has not told is empty.

    Nothing is invented for it: without a name the papers have a head of neutral words.

    `picture` is a PNG or an SVG that `reports.harmless_picture` has let through.
    """

    name: str = ""
    telephone: str = ""
    address: str = ""
    licence: str = ""
    hours: str = ""
    closing: str = ""
    picture: bytes = b""

    @property
    def picture_type(self) -> str:
        """The picture's media type, by how it begins; empty without a picture."""
        if not self.picture:
            return ""
        return "image/png" if self.picture.startswith(PNG_BEGINS) else "image/svg+xml"

    @property
    def head(self) -> str:
        """What stands at the head of a paper: the shop's name, or neutral words until it has given one."""
        return cleaned(self.name) or say("pages.shop.neutral")

    def below_the_name(self) -> tuple[str, ...]:
        """What stands below the name, each in a few words."""
        return tuple(self._below())

    def _below(self) -> Iterator[str]:
        if address := cleaned(self.address):
            yield address
        if telephone := cleaned(self.telephone):
            yield say("pages.shop.telephone", telephone=telephone)
        if hours := cleaned(self.hours):
            yield say("pages.shop.hours", hours=hours)
        if licence := cleaned(self.licence):
            yield say("pages.shop.licence", licence=licence)


NO_SHOP = Letterhead()
"""What stands on papers until a shop has told of itself."""

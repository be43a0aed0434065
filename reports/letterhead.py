"""Whose papers these are: what the shop has told of itself, and how that stands at the head and the foot of a paper."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from engine.foundation.plain_text import cleaned
from engine.foundation.texts import say

INVENTED = "Ninth Heron Pool Shop"
"""An invented shop, for papers printed before a shop has given its own name."""
PNG_BEGINS = b"\x89PNG\r\n\x1a\n"
"""How a PNG begins. Source: PNG, third edition (W3C, 2025), 5.2 (from memory)."""


@dataclass(frozen=True)
class Letterhead:
    """A shop as it stands on its papers; what it has not told is empty.

    `picture` is a PNG or an SVG that `reports.harmless_picture` has let through.
    """

    name: str = INVENTED
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

    def below_the_name(self) -> tuple[str, ...]:
        """What stands below the name, each in a few words; until a name is given, how to give one."""
        return tuple(self._below())

    def _below(self) -> Iterator[str]:
        if self.name == INVENTED:
            yield say("pages.shop.unset")
        if address := cleaned(self.address):
            yield address
        if telephone := cleaned(self.telephone):
            yield say("pages.shop.telephone", telephone=telephone)
        if hours := cleaned(self.hours):
            yield say("pages.shop.hours", hours=hours)
        if licence := cleaned(self.licence):
            yield say("pages.shop.licence", licence=licence)


INVENTED_SHOP = Letterhead()
"""What stands on papers until a shop has told of itself."""

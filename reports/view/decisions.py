"""The words of each decision and end: what it means for the reader, the shop, and when to come back."""

from __future__ import annotations

from dataclasses import dataclass

from engine.foundation.texts import said, say
from reports.phrases import Reader


@dataclass(frozen=True)
class Decided:
    """One decision.

    `first` is what the reader does first, `told` more for whoever gets the sheet, `shop` for the staff and `shop_bare`
    where nothing is sold, `back` says when to come back.
    """

    title: str
    first: str
    told: str
    shop: str
    shop_bare: str
    back: str


def decided_words(decision: str, reader: Reader) -> Decided:
    """The words of a decision.

    Args:
        decision: one of `engine.knowledge.model.DECISIONS`, or `solved`, `unverified`, `cell_is_here`, `come_back`,
            `no_help`,
            `not_decided`; what is none of them counts as not decided.
        reader: whose wording.
    """
    words = said("view_decisions.decisions")
    name = decision if f"{decision}.shop" in words else "not_decided"
    return Decided(
        say(f"view_decisions.decisions.{name}.title.{reader}"),
        say(f"view_decisions.decisions.{name}.first.{reader}"),
        say(f"view_decisions.decisions.{name}.told.{reader}"),
        say(f"view_decisions.decisions.{name}.shop"),
        words.get(f"{name}.shop_bare", words[f"{name}.shop"]),
        say(f"view_decisions.decisions.{name}.back.{reader}"),
    )


def ending_words(why: str, reader: Reader) -> str:
    """Why the questions ended, by the session's word for it; empty for another word."""
    return said("view_decisions.endings").get(f"{why}.{reader}", "")

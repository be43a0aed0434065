"""The cards of the shipped trees, each made once for all the tests that look at it."""

from __future__ import annotations

from functools import cache

from coverage import Coverage

from engine.quantities.unit_systems import System
from reports.card.boxes import Card
from reports.card.document import card_document
from reports.card.unroll import MOST_BOXES, unroll
from reports.document import Document
from tests.shipped import knowledge, models

TREES = tuple(knowledge().trees)


COUNTED = "low-salt"
"""The card whose making is counted, where branches are: the others go the same ways, and counting is dear."""


@cache
def card(tree: str, most: int = MOST_BOXES) -> Card:
    """A tree's card of at most so many boxes."""
    counting = None if tree == COUNTED else Coverage.current()
    if counting is not None:
        counting.stop()
    try:
        return unroll(models(), tree, most=most)
    finally:
        if counting is not None:
            counting.start()


@cache
def document(tree: str, units: System = "metric") -> Document:
    """A tree's card as a paper of an invented shop."""
    return card_document(knowledge(), card(tree), "Ninth Heron Pool Shop", "2026-05-04", units)

"""Which cautions the program tells by itself: those that the knowledge says are told for an occasion."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from engine.knowledge.properties import Occasion

SUPPLY_WORK: tuple[Occasion, ...] = ("isolating", "mains", "danger", "switching_on")
"""Somebody works on what hangs on the mains."""
LIFTING_CELL: tuple[Occasion, ...] = ("isolating", "venting", "opening")
"""The pipe is opened at the cell: the power is off, gas may be in it, and it is under pressure."""
ACID_WORK: tuple[Occasion, ...] = ("acid", "spent_acid", "storing", "dosing")
"""Acid is measured out, used, put away and spent."""
CHLORINE_BY_HAND: tuple[Occasion, ...] = ("gas", "storing", "dosing")
"""Somebody doses chlorine by hand."""
TOO_MUCH: tuple[Occasion, ...] = ("low_test", "dosing")
"""There may be far too much chlorine in the water."""


class _Told(Protocol):
    """A caution, built or as it was written."""

    @property
    def told_for(self) -> Sequence[Occasion]:
        """The occasions for which it is told."""
        ...


def told_for(cautions: Mapping[str, _Told], *occasions: Occasion) -> tuple[str, ...]:
    """The ids of the cautions told for these occasions, in the order of the occasions, each once.

    Args:
        cautions: the cautions by id, in the order of the catalogue.
        occasions: what is going on.
    """
    found = (name for occasion in occasions for name, caution in cautions.items() if occasion in caution.told_for)
    return tuple(dict.fromkeys(found))

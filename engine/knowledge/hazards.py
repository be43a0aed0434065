"""What hazardous acts demand of whom: the cautions of any work, and of what the program itself lets people do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Protocol

from engine.knowledge.properties import Occasion, Reader

LIFTING_CELL: tuple[Occasion, ...] = ("isolating", "opening", "venting")
"""The pipe is opened at the cell: the power is off, it is under pressure, and gas may be in it."""
TOO_MUCH: tuple[Occasion, ...] = ("low_test", "dosing")
"""There may be far too much chlorine in the water."""


class _Hazardous(Protocol):
    """An act that can hurt, built or as it was written."""

    @property
    def occasion(self) -> Occasion | None:
        """When the program itself lets people do it."""
        ...

    def boxes_for(self, reader: Reader) -> Sequence[str]:
        """The cautions that this reader is shown before the act."""
        ...


def told_for(acts: Mapping[str, _Hazardous], reader: Reader, *occasions: Occasion) -> tuple[str, ...]:
    """The ids of the cautions of what the program itself lets a reader do, in that order, each once.

    Args:
        acts: the hazardous acts by id, in the order of the catalogue.
        reader: who does it.
        occasions: what is going on.
    """
    found = (act for occasion in occasions for act in acts.values() if act.occasion == occasion)
    return cautions_of(found, reader)


def cautions_of(acts: Iterable[_Hazardous], reader: Reader) -> tuple[str, ...]:
    """The ids of the cautions of these acts for the one who does them, each once."""
    return tuple(dict.fromkeys(caution for act in acts for caution in act.boxes_for(reader)))

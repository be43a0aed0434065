"""What people do that can hurt, and what it demands, as the faults folder describes it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from engine.knowledge.properties import HazardKind, Occasion, Reader
from engine.knowledge.wording import RoleId

Plant = Literal["running", "isolated", "any"]
Who = Literal["owner", "technician", "electrician", "other_trade"]
"""Who may do a repair."""


@dataclass(frozen=True)
class ByReader:
    """Ids for the one who does a work, owner or technician."""

    owner: tuple[str, ...] = ()
    technician: tuple[str, ...] = ()

    def to(self, reader: Reader) -> tuple[str, ...]:
        """Those for this reader."""
        return self.owner if reader == "owner" else self.technician

    def for_role(self, role: RoleId) -> tuple[str, ...]:
        """The technician's in the field; elsewhere the owner's, who does what is told from afar."""
        return self.to(reader_of(role))


def reader_of(role: RoleId) -> Reader:
    """Who does what is asked for: the technician in the field, elsewhere the owner."""
    return "technician" if role == "field" else "owner"


@dataclass(frozen=True)
class HazardousWork:
    """What a check or repair is made of that can hurt: acts by who does them, and what follows from them.

    `cautions` are shown to whoever does it beforehand, `in_a_line` are told in one line; `energised_by` are the readers
    for whom something is switched on in it.
    """

    acts: ByReader = ByReader()
    cautions: ByReader = ByReader()
    in_a_line: ByReader = ByReader()
    energised_by: frozenset[Reader] = frozenset()


HARMLESS = HazardousWork()


@dataclass(frozen=True)
class HazardousAct:
    """Something that people do and that can hurt.

    `brings` are its hazards, `plant` the state that it demands, `who` those who may do it; `energises` where it
    switches something on. `cautions` are shown to whoever does it before it is done, `in_a_line` are told in one line.
    `occasion` where it is what the program itself lets people do; `on_the_bench` where it is done there too, on what
    was taken from the pool; `lets_out` where pool water runs out in it; `keeps_unit_off` where the
    unit rests until it is done.
    """

    id: str
    brings: tuple[HazardKind, ...]
    plant: Plant
    who: tuple[Who, ...]
    energises: bool
    cautions: ByReader
    in_a_line: ByReader
    occasion: Occasion | None = None
    on_the_bench: bool = False
    lets_out: bool = False
    keeps_unit_off: bool = False

    def boxes_for(self, reader: Reader) -> tuple[str, ...]:
        """The cautions that this reader is shown before the act."""
        return self.cautions.to(reader)

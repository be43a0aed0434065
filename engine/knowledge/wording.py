"""What is said to people in two ways: plainly for a customer, shortly for a technician."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from engine.quantities.unit_systems import System, shown_in

RoleId = Literal["counter", "phone", "field"]


@dataclass(frozen=True)
class Wording:
    """One thing said in two ways: plainly for a customer, shortly for a technician."""

    customer: str
    technician: str

    def for_role(self, role: RoleId, units: System | None = None) -> str:
        """The technician's words in the field, the customer's elsewhere, figures in these units, or in those in use."""
        return shown_in(self.technician if role == "field" else self.customer, units)


@dataclass(frozen=True)
class Steps:
    """What is done one after the other, each step a text: plainly for a customer, shortly for a technician."""

    customer: tuple[str, ...]
    technician: tuple[str, ...]

    def for_role(self, role: RoleId, units: System | None = None) -> tuple[str, ...]:
        """The technician's steps in the field, the customer's elsewhere, figures in these units, or in those in use."""
        return tuple(shown_in(step, units) for step in (self.technician if role == "field" else self.customer))

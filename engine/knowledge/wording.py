"""What is said to people in two ways: plainly for a customer, shortly for a technician."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
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


def in_common(texts: Sequence[str]) -> str:
    """The one text, or the words that several begin with; all of them where these begin otherwise; none: empty."""
    words = [[word.strip(",;:") for word in text.split()] for text in texts]
    shared = " ".join(each[0] for each in itertools.takewhile(lambda at: len(set(at)) == 1, zip(*words, strict=False)))
    return shared if len(texts) > 1 and shared else " / ".join(texts)

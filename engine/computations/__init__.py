"""The trade's computations by name: the catalogue, and computing from typed text."""

from __future__ import annotations

from engine.computations.catalogue import (
    CATALOGUE,
    GROUPS,
    compute,
    compute_sections,
    entry_of,
    example_of,
    read_value,
    shown_key,
    usage,
)
from engine.computations.doubts import is_limited
from engine.computations.types import Computation, ComputationError, DoubtedError, Entry, Key, Value

__all__ = [
    "CATALOGUE",
    "GROUPS",
    "Computation",
    "ComputationError",
    "DoubtedError",
    "Entry",
    "Key",
    "Value",
    "compute",
    "compute_sections",
    "entry_of",
    "example_of",
    "is_limited",
    "read_value",
    "shown_key",
    "usage",
]

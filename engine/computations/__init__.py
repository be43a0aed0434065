"""The trade's computations by name: the catalogue, and computing from typed text."""

from __future__ import annotations

from engine.computations.catalogue import CATALOGUE, compute, compute_sections, usage
from engine.computations.doubts import is_limited
from engine.computations.types import Computation, ComputationError, Entry, Key, Value

__all__ = [
    "CATALOGUE",
    "Computation",
    "ComputationError",
    "Entry",
    "Key",
    "Value",
    "compute",
    "compute_sections",
    "is_limited",
    "usage",
]

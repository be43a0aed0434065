"""The derived findings that the program works out, each in a module of its own."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from engine.findings import (
    balance_driver,
    cell_health,
    cell_wear,
    chlorine_balance,
    current_change,
    current_gap,
    salt_gap,
    salt_loss,
    scaling_tendency,
    supply_level,
    temperature_gap,
)
from engine.findings.readings import Readings, Weights


@dataclass(frozen=True)
class Derivation:
    """How a finding is worked out: its weight for each answer, and the numbers behind it by name, where it has any.

    Both take the readings; `weights` gives None and `figure` nothing while readings are missing.
    """

    weights: Callable[[Readings], Weights | None]
    figure: Callable[[Readings], Mapping[str, float]] | None = None


DERIVATIONS: Mapping[str, Derivation] = MappingProxyType(
    {
        "salt_gap": Derivation(salt_gap.weights, salt_gap.figure),
        "temperature_gap": Derivation(temperature_gap.weights),
        "chlorine_balance": Derivation(chlorine_balance.weights, chlorine_balance.figure),
        "current_gap": Derivation(current_gap.weights, current_gap.figure),
        "cell_health": Derivation(cell_health.weights, cell_health.figure),
        "scaling_tendency": Derivation(scaling_tendency.weights, scaling_tendency.figure),
        "balance_driver": Derivation(balance_driver.weights),
        "cell_wear": Derivation(cell_wear.weights, cell_wear.figure),
        "salt_loss": Derivation(salt_loss.weights, salt_loss.figure),
        "current_change": Derivation(current_change.weights, current_change.figure),
        "supply_level": Derivation(supply_level.weights),
    }
)
"""By id; `engine.knowledge.computed` declares what each counts on."""

"""Which derived findings the program can compute, and what each computation counts on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engine.knowledge.model import frozen


@dataclass(frozen=True)
class Computed:
    """What the computation of a derived finding counts on, so that no edit of the knowledge can starve it.

    `reads` are the checks it must be given, `spreads` those of them that need a usual spread (give or take, within a
    factor), `mixtures` those that need values with their shares, `bands` the ids of bands that it gives by name.
    """

    reads: tuple[str, ...]
    spreads: tuple[str, ...] = ()
    mixtures: tuple[str, ...] = ()
    bands: tuple[str, ...] = ()


_POOL = ("pool_volume", "rated_output", "output_setting", "run_hours", "water_temp")
_BESIDE_INDEX = ("water_temp", "stabiliser", "tested_salt")

COMPUTED_FINDINGS: Mapping[str, Computed] = frozen(
    {
        "salt_gap": Computed(("unit_salt", "tested_salt")),
        "temperature_gap": Computed(("unit_temp", "water_temp")),
        "chlorine_balance": Computed(_POOL, spreads=_POOL, bands=("carries", "short_now", "short_always", "far_over")),
        "current_gap": Computed(("cell_current", "tested_salt", "water_temp"), spreads=("water_temp",)),
        "cell_health": Computed(
            ("cell_voltage", "cell_current", "tested_salt", "water_temp"),
            spreads=("water_temp",),
            bands=("sound", "starved", "raised", "bridged", "no_current"),
        ),
        "scaling_tendency": Computed(("ph", "hardness", "alkalinity", *_BESIDE_INDEX), spreads=_BESIDE_INDEX),
        "balance_driver": Computed(
            ("ph", "hardness", "alkalinity", *_BESIDE_INDEX),
            spreads=_BESIDE_INDEX,
            bands=("none", "low", "ph", "alkalinity", "hardness"),
        ),
        "cell_wear": Computed(("cell_age_years", "run_hours", "output_setting"), spreads=("output_setting",)),
        "salt_loss": Computed(("tested_salt", "salt_then", "months_since_salt_test")),
        "current_change": Computed(("cell_current", "current_then")),
        "supply_level": Computed(("supply_voltage", "nominal_voltage"), mixtures=("nominal_voltage",)),
    }
)
"""The derived findings that the program can compute, by id."""

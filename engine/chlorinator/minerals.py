"""Doses by mass balance: alkalinity, hardness and stabiliser."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from engine.chlorinator.limits import require_above_zero, require_between
from engine.chlorinator.substances import (
    CALCIUM_CARBONATE,
    CALCIUM_CARBONATE_EQUIVALENT,
    CALCIUM_CHLORIDE,
    CALCIUM_CHLORIDE_DIHYDRATE,
    CYANURIC_ACID,
    HCL_31_MOL_L,
    SODIUM_BICARBONATE,
    SODIUM_BISULFATE,
)

_MAX_CHANGE_PPM = 1000.0


@dataclass(frozen=True)
class Product:
    """What is poured in to change a concentration.

    Attributes:
        unit: kg of a solid, L of a liquid.
        moles: in one unit of it.
        tested_g_mol: what the test calls one mole of it, g.
    """

    unit: Literal["kg", "L"]
    moles: float
    tested_g_mol: float


BICARBONATE = Product("kg", 1000 / SODIUM_BICARBONATE, CALCIUM_CARBONATE_EQUIVALENT)
"""Raises total alkalinity, told as CaCO3: 2 NaHCO3 for each CaCO3."""
HCL_31 = Product("L", HCL_31_MOL_L, CALCIUM_CARBONATE_EQUIVALENT)
"""Hydrochloric acid of 31.45 %, lowers total alkalinity: 2 HCl for each CaCO3; the pH comes back by aeration."""
DRY_ACID = Product("kg", 1000 / SODIUM_BISULFATE, CALCIUM_CARBONATE_EQUIVALENT)
"""Sodium bisulfate, in place of hydrochloric acid: 2 NaHSO4 for each CaCO3."""
ANHYDROUS_CALCIUM_CHLORIDE = Product("kg", 1000 / CALCIUM_CHLORIDE, CALCIUM_CARBONATE)
"""Raises calcium hardness, told as CaCO3: one CaCl2 for each."""
DIHYDRATE = Product("kg", 1000 / CALCIUM_CHLORIDE_DIHYDRATE, CALCIUM_CARBONATE)
"""Calcium chloride dihydrate, CaCl2.2H2O, for the same."""
STABILISER = Product("kg", 1000 / CYANURIC_ACID, CYANURIC_ACID)
"""Cyanuric acid, told as itself."""


def dose(product: Product, volume_m3: float, change_ppm: float) -> float:
    """What a change in the whole pool takes of a product.

    Args:
        product: what is poured in.
        volume_m3: pool volume, m³, above 0.
        change_ppm: change wanted, mg/L as the test tells it, 0 to 1000; for acid it is a fall.

    Returns:
        The dose in the product's unit, kg or L.

    Raises:
        RangeError: a value outside its range.

    Source: stoichiometry.
    """
    require_above_zero("volume", volume_m3, "m³")
    require_between("change", change_ppm, 0, _MAX_CHANGE_PPM, "ppm")
    return volume_m3 * change_ppm / product.tested_g_mol / product.moles

"""Doses by mass balance: alkalinity, hardness and stabiliser."""

from __future__ import annotations

from engine.chlorinator.limits import require_above_zero, require_between
from engine.chlorinator.substances import (
    CALCIUM_CARBONATE,
    CALCIUM_CARBONATE_EQUIVALENT,
    CALCIUM_CHLORIDE,
    CALCIUM_CHLORIDE_DIHYDRATE,
    HCL_31_MOL_L,
    SODIUM_BICARBONATE,
    SODIUM_BISULFATE,
)

_MAX_CHANGE_PPM = 1000.0


def _moles(volume_m3: float, change_ppm: float, equivalent: float) -> float:
    """Moles for a change in the whole pool, `equivalent` in g/mol."""
    require_above_zero("volume", volume_m3, "m³")
    require_between("change", change_ppm, 0, _MAX_CHANGE_PPM, "ppm")
    return volume_m3 * change_ppm / equivalent


def bicarbonate_kg(volume_m3: float, rise_ppm: float) -> float:
    """Sodium bicarbonate for a rise of total alkalinity.

    Args:
        volume_m3: pool volume, m³, above 0.
        rise_ppm: rise wanted, mg/L as CaCO3, 0 to 1000.

    Returns:
        NaHCO3, kg.

    Raises:
        RangeError: a value outside its range.

    Source: stoichiometry, 2 NaHCO3 for each CaCO3.
    """
    return _moles(volume_m3, rise_ppm, CALCIUM_CARBONATE_EQUIVALENT) * SODIUM_BICARBONATE / 1000


def hcl_31_for_alkalinity_l(volume_m3: float, fall_ppm: float) -> float:
    """Hydrochloric acid of 31.45 % for a fall of total alkalinity.

    Args:
        volume_m3: pool volume, m³, above 0.
        fall_ppm: fall wanted, mg/L as CaCO3, 0 to 1000.

    Returns:
        Acid, L; in doses, with the pH brought back by aeration in between.

    Raises:
        RangeError: a value outside its range.

    Source: stoichiometry, 2 HCl for each CaCO3.
    """
    return _moles(volume_m3, fall_ppm, CALCIUM_CARBONATE_EQUIVALENT) / HCL_31_MOL_L


def dry_acid_for_alkalinity_kg(volume_m3: float, fall_ppm: float) -> float:
    """Sodium bisulfate for a fall of total alkalinity, in place of hydrochloric acid.

    Args:
        volume_m3: pool volume, m³, above 0.
        fall_ppm: fall wanted, mg/L as CaCO3, 0 to 1000.

    Returns:
        NaHSO4, kg.

    Raises:
        RangeError: a value outside its range.

    Source: stoichiometry, 2 NaHSO4 for each CaCO3.
    """
    return _moles(volume_m3, fall_ppm, CALCIUM_CARBONATE_EQUIVALENT) * SODIUM_BISULFATE / 1000


def calcium_chloride_kg(volume_m3: float, rise_ppm: float) -> float:
    """Anhydrous calcium chloride for a rise of calcium hardness.

    Args:
        volume_m3: pool volume, m³, above 0.
        rise_ppm: rise wanted, mg/L as CaCO3, 0 to 1000.

    Returns:
        CaCl2, kg.

    Raises:
        RangeError: a value outside its range.

    Source: stoichiometry.
    """
    return _moles(volume_m3, rise_ppm, CALCIUM_CARBONATE) * CALCIUM_CHLORIDE / 1000


def dihydrate_kg(volume_m3: float, rise_ppm: float) -> float:
    """Calcium chloride dihydrate for the same rise as `calcium_chloride_kg`.

    Args:
        volume_m3: pool volume, m³, above 0.
        rise_ppm: rise wanted, mg/L as CaCO3, 0 to 1000.

    Returns:
        CaCl2.2H2O, kg.

    Raises:
        RangeError: a value outside its range.

    Source: stoichiometry.
    """
    return _moles(volume_m3, rise_ppm, CALCIUM_CARBONATE) * CALCIUM_CHLORIDE_DIHYDRATE / 1000


def cyanuric_acid_kg(volume_m3: float, rise_ppm: float) -> float:
    """Cyanuric acid for a rise of stabiliser.

    Args:
        volume_m3: pool volume, m³, above 0.
        rise_ppm: rise wanted, mg/L, 0 to 1000.

    Returns:
        Cyanuric acid, kg.

    Raises:
        RangeError: a value outside its range.

    Source: mass balance.
    """
    return _moles(volume_m3, rise_ppm, 1000)

"""Acid for cleaning a cell: how strong it is, how it is mixed, how it is neutralised."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from engine.chlorinator.limits import RangeError, require_above_zero, require_between
from engine.chlorinator.substances import HYDROGEN_CHLORIDE, SODIUM_BICARBONATE
from engine.foundation.texts import told
from engine.quantities.quantity import figure

MAX_HCL_PERCENT = 37.0

# Density at 20 °C, g/mL, from memory (Perry's Chemical Engineers' Handbook; CRC Handbook). The
# trade's 31.45 % (1.160) is given at 15.6 °C, so it stays out of this table.
_DENSITIES = (
    (0.0, 0.998),
    (10.0, 1.047),
    (20.0, 1.098),
    (28.0, 1.139),
    (30.0, 1.149),
    (32.0, 1.159),
    (36.0, 1.179),
    (37.0, 1.184),
)
_WATER_G_ML = 0.998


def hydrochloric_density_g_ml(strength_percent: float) -> float:
    """Density of hydrochloric acid at 20 °C.

    Args:
        strength_percent: mass percent of HCl, 0 to 37.

    Returns:
        Density, g/mL.

    Raises:
        RangeError: a strength outside the range.

    Resolution: 0.002 g/mL.
    Source: handbook table (Perry; CRC; from memory), interpolated linearly.
    """
    require_between(
        "strength",
        strength_percent,
        0,
        MAX_HCL_PERCENT,
        "%",
        "label_of_acid",
    )
    for (weak, weak_density), (strong, strong_density) in pairwise(_DENSITIES):
        if strength_percent <= strong:
            share = (strength_percent - weak) / (strong - weak)
            return weak_density + share * (strong_density - weak_density)
    return _DENSITIES[-1][1]


@dataclass(frozen=True)
class AcidMix:
    """A cleaning mix.

    Attributes:
        percent: HCl in the mix, mass percent.
        mol_l: HCl in the mix, mol/L.
        acid_ml: acid for the volume wanted, mL.
        water_ml: water for the volume wanted, mL; it goes in first.
    """

    percent: float
    mol_l: float
    acid_ml: float
    water_ml: float


def acid_mix(
    strength_percent: float,
    density_g_ml: float,
    water_parts: float,
    acid_parts: float,
    mix_l: float,
) -> AcidMix:
    """Mix hydrochloric acid into water by volume, as a cell is cleaned with.

    Args:
        strength_percent: mass percent of HCl in the acid, above 0, to 37.
        density_g_ml: density of the acid, 0.99 to 1.20 g/mL.
        water_parts: parts of water by volume, above 0.
        acid_parts: parts of acid by volume, above 0, no more than of water; 10 of water to 1 of acid makes 11.
        mix_l: mix wanted, L, above 0.

    Returns:
        Strength of the mix and the volumes for it.

    Raises:
        RangeError: a value outside its range.

    Resolution: 1 %, as volumes are taken as additive.
    Source: mass balance; water 0.998 g/mL at 20 °C.
    """
    require_above_zero("strength", strength_percent, "%")
    require_between(
        "strength",
        strength_percent,
        0,
        MAX_HCL_PERCENT,
        "%",
        "label_of_acid",
    )
    require_between("density", density_g_ml, 0.99, 1.20, "g/mL", "leave_density_out")
    require_above_zero("number_of_parts_of_water", water_parts)
    require_above_zero("number_of_parts_of_acid", acid_parts)
    require_above_zero("volume_of_the_mix", mix_l, "L")
    if acid_parts > water_parts:
        raise RangeError(*told("limits.more_acid", water=f"{water_parts:g}", acid=f"{acid_parts:g}"))
    ratio = water_parts / acid_parts
    share = strength_percent / 100
    return AcidMix(
        percent=100 * share * density_g_ml / (ratio * _WATER_G_ML + density_g_ml),
        mol_l=share * density_g_ml * 1000 / HYDROGEN_CHLORIDE / (1 + ratio),
        acid_ml=mix_l * 1000 / (1 + ratio),
        water_ml=mix_l * 1000 * ratio / (1 + ratio),
    )


def bicarbonate_for_acid_g(acid_l: float, strength_percent: float) -> float:
    """Sodium bicarbonate that neutralises hydrochloric acid.

    Args:
        acid_l: acid to neutralise, L, above 0.
        strength_percent: mass percent of HCl, above 0, to 37; that of the fresh mix is the
            most that can be left in a spent one.

    Returns:
        NaHCO3, g.

    Raises:
        RangeError: a value outside its range.

    Source: HCl + NaHCO3 -> NaCl + H2O + CO2, density as in `hydrochloric_density_g_ml`.
    """
    require_above_zero("acid", acid_l, "L")
    if strength_percent <= 0:
        raise RangeError(*told("limits.no_acid", strength=figure(strength_percent)))
    density = hydrochloric_density_g_ml(strength_percent)
    moles = acid_l * density * 1000 * strength_percent / 100 / HYDROGEN_CHLORIDE
    return moles * SODIUM_BICARBONATE

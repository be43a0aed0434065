"""Chlorine in the water: its active share, cyanurate, sunlight, decay and doses by hand."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from engine.chlorinator.limits import (
    RangeError,
    require_above_zero,
    require_between,
    require_not_negative,
    require_ph,
)
from engine.chlorinator.substances import (
    CHLORINE,
    CYANURIC_ACID,
    THIOSULFATE_PENTAHYDRATE,
    ZERO_CELSIUS_K,
)
from engine.foundation.texts import say, told
from engine.quantities.quantity import figure

SPLIT_MODELS = ("1974", "2019")
"""The published sets of constants for chlorine with cyanurate; they are never mixed."""

_BISECTIONS = 200


def hocl_pka(temperature_c: float) -> float:
    """Acid exponent of hypochlorous acid at zero ionic strength.

    Args:
        temperature_c: 0 to 35 °C.

    Returns:
        pKa, 7.54 at 25 °C.

    Raises:
        RangeError: a temperature outside the range.

    Resolution: 0.05; in pool water (ionic strength 0.06) it lies about 0.09 lower.
    Source: Morris 1966, J. Phys. Chem. 70, 3798 (from memory).
    """
    require_between("temperature", temperature_c, 0, 35, "°C")
    kelvin = temperature_c + ZERO_CELSIUS_K
    return 3000 / kelvin - 10.0686 + 0.0253 * kelvin


def hocl_fraction(ph: float, temperature_c: float) -> float:
    """Share of unbound free chlorine that is hypochlorous acid, the part that disinfects.

    Args:
        ph: 0 to 14 (below 4 chlorine is also present as dissolved gas, which is left out).
        temperature_c: 0 to 35 °C.

    Returns:
        Share, 0 to 1, without cyanurate.

    Raises:
        RangeError: a value outside its range.

    Resolution: 0.05 at pH 7.5, for the salt of a pool.
    Source: acid equilibrium with the constant of `hocl_pka`.
    """
    require_ph(ph)
    return 1 / (1 + 10 ** (ph - hocl_pka(temperature_c)))


def sun_half_life_min(ph: float, temperature_c: float) -> float:
    """Half-life of chlorine without stabiliser at the surface in clear summer noon sun.

    Args:
        ph: 0 to 14.
        temperature_c: 0 to 35 °C; it acts through the share of hypochlorous acid only.

    Returns:
        Minutes, from about 10 to 58.

    Raises:
        RangeError: a value outside its range.

    Resolution: an upper bound of the loss; over a metre or two of depth 1 to 2 h is usual.
    Source: Nowell & Hoigné 1992, Water Research 26, 593: 2e-4 /s for the acid, 1.2e-3 /s for
        hypochlorite.
    """
    acid = hocl_fraction(ph, temperature_c)
    rate_per_s = acid * 2e-4 + (1 - acid) * 1.2e-3
    return math.log(2) / rate_per_s / 60


@dataclass(frozen=True)
class ChlorineSplit:
    """How free chlorine divides, each as mg/L of chlorine.

    Attributes:
        hocl_mg_l: hypochlorous acid.
        free_mg_l: hypochlorous acid and hypochlorite, not bound to cyanurate.
    """

    hocl_mg_l: float
    free_mg_l: float


@dataclass(frozen=True)
class _Equilibria:
    """What a model says at one pH: the ion's share, and chlorine bound per cyanurate."""

    ocl_per_hocl: float
    bound_per_cyanurate: Callable[[float], float]


TEN_SPECIES_C = 25.0
_TEN_SPECIES_HOCL = 7.54


def _ten_species(ph: float) -> _Equilibria:
    """Ten species of cyanurate, with the constants of 1974, relative to cyanuric acid."""
    hydrogen = 10**-ph

    def bound(hocl: float) -> float:
        one = hocl / 10**-4.07
        two = one * hocl / 10**-2.93
        three = two * hocl / 10**-1.80
        first_ion = 10**-5.33 / hydrogen
        one_all = one * (1 + first_ion + first_ion * 10**-10.12 / hydrogen)
        two_all = two * (1 + 10**-3.75 / hydrogen)
        ion = 10**-6.88 / hydrogen
        second_ion = ion * 10**-11.40 / hydrogen
        none_all = 1 + ion + second_ion + second_ion * 10**-13.5 / hydrogen
        return (one_all + 2 * two_all + 3 * three) / (none_all + one_all + two_all + three)

    return _Equilibria(10**-_TEN_SPECIES_HOCL / hydrogen, bound)


def _four_species(ph: float, temperature_c: float) -> _Equilibria:
    """Four species of cyanurate, with the constants of 2019, relative to the dihydrogen cyanurate ion."""
    kelvin = temperature_c + ZERO_CELSIUS_K
    k_two = 10 ** -(2028 / kelvin - 2.15)
    k_one = 10 ** -(2229 / kelvin - 1.65)
    acid_per_ion = 10 ** (1743 / kelvin + 1.12 - ph)

    def bound(hocl: float) -> float:
        one = hocl / k_one
        two = one * hocl / k_two
        return (one + 2 * two) / (1 + acid_per_ion + one + two)

    return _Equilibria(10 ** (ph - hocl_pka(temperature_c)), bound)


def _equilibria(model: str, ph: float, temperature_c: float) -> _Equilibria:
    if model == "1974":
        require_ph(ph, 4, 12)
        require_between(
            "temperature",
            temperature_c,
            TEN_SPECIES_C - 0.5,
            TEN_SPECIES_C + 0.5,
            "°C",
            "use_2019",
        )
        return _ten_species(ph)
    if model == "2019":
        require_ph(ph, 6, 9)
        require_between("temperature", temperature_c, 5, 35, "°C")
        return _four_species(ph, temperature_c)
    first, second = SPLIT_MODELS
    raise RangeError(*told("limits.no_model", model=model, first=first, second=second))


def free_chlorine_split(
    ph: float, fc_ppm: float, cya_ppm: float, temperature_c: float = 25, model: str = "1974"
) -> ChlorineSplit:
    """How much of the free chlorine a test shows is hypochlorous acid, with cyanurate present.

    Args:
        ph: 4 to 12 with `1974`, 6 to 9 with `2019`.
        fc_ppm: free chlorine by test, mg/L as Cl2, 0 to 1000; it counts what cyanurate holds.
        cya_ppm: cyanuric acid, mg/L, 0 to 1000.
        temperature_c: 25 °C with `1974`, 5 to 35 °C with `2019`.
        model: one of `SPLIT_MODELS`.

    Returns:
        The parts; with no cyanurate all free chlorine is unbound.

    Raises:
        RangeError: a value outside its range, or an unknown model.

    Resolution: one significant figure: the two models differ by a third at usual values.
    Source: O'Brien 1972; O'Brien, Morris & Butler 1974 in Rubin, Chemistry of Water Supply,
        Treatment and Distribution (constants from memory, 25 °C). Wahman & Alexander 2019,
        Environ. Eng. Sci. 36, 283 and Wahman 2018, Environ. Sci.: Water Res. Technol.,
        10.1039/c8ew00431e, with the hypochlorous acid constant of Morris.
    """
    require_between("free_chlorine", fc_ppm, 0, 1000, "ppm")
    require_between("cyanuric_acid", cya_ppm, 0, 1000, "ppm")
    parts = _equilibria(model, ph, temperature_c)
    total = fc_ppm / CHLORINE / 1000
    cyanurate = cya_ppm / CYANURIC_ACID / 1000
    unbound_per_hocl = 1 + parts.ocl_per_hocl
    low, high = 0.0, total / unbound_per_hocl
    if cyanurate > 0:
        for _ in range(_BISECTIONS):
            middle = (low + high) / 2
            held = middle * unbound_per_hocl + cyanurate * parts.bound_per_cyanurate(middle)
            low, high = (middle, high) if held < total else (low, middle)
    hocl_mg_l = high * CHLORINE * 1000
    return ChlorineSplit(hocl_mg_l, hocl_mg_l * unbound_per_hocl)


def chlorine_left_ppm(now_ppm: float, half_life_h: float, hours_h: float) -> float:
    """Free chlorine left after first-order loss.

    Args:
        now_ppm: free chlorine now, ppm, not negative.
        half_life_h: half-life, h, above 0.
        hours_h: time passed, h, not negative.

    Returns:
        Free chlorine left, ppm.

    Raises:
        RangeError: a value outside its range.

    Source: first-order decay.
    """
    require_not_negative("free_chlorine", now_ppm, "ppm")
    require_above_zero("half_life", half_life_h, "h")
    require_not_negative("time", hours_h, "h")
    return float(now_ppm * 0.5 ** (hours_h / half_life_h))


def _require_strength(strength_percent: float, highest: float, instead: str) -> None:
    if not 0 < strength_percent <= highest:
        wrong = say("limits.strength", strength=figure(strength_percent), highest=figure(highest))
        raise RangeError(wrong, say(f"limits.instead.{instead}"))


def hypochlorite_l(volume_m3: float, rise_ppm: float, strength_percent: float) -> float:
    """Liquid chlorine for a rise of free chlorine.

    Args:
        volume_m3: pool volume, m³, above 0.
        rise_ppm: rise wanted, mg/L, 0 to 1000.
        strength_percent: available chlorine by volume, g per 100 mL, above 0, to 25 %.

    Returns:
        Product, L.

    Raises:
        RangeError: a value outside its range.

    Resolution: 10 %: liquid chlorine loses strength in store.
    Source: mass balance.
    """
    require_above_zero("volume", volume_m3, "m³")
    require_between("rise", rise_ppm, 0, 1000, "ppm")
    _require_strength(strength_percent, 25, "use_granules")
    return volume_m3 * rise_ppm / (10 * strength_percent)


def hypochlorite_kg(volume_m3: float, rise_ppm: float, strength_percent: float) -> float:
    """Solid chlorine product for a rise of free chlorine.

    Args:
        volume_m3: pool volume, m³, above 0.
        rise_ppm: rise wanted, mg/L, 0 to 1000.
        strength_percent: available chlorine by mass, above 0, to 100 %.

    Returns:
        Product, kg.

    Raises:
        RangeError: a value outside its range.

    Source: mass balance.
    """
    require_above_zero("volume", volume_m3, "m³")
    require_between("rise", rise_ppm, 0, 1000, "ppm")
    _require_strength(strength_percent, 100, "label_of_chlorine")
    return volume_m3 * rise_ppm / (10 * strength_percent)


THIOSULFATE_PER_CHLORINE = THIOSULFATE_PENTAHYDRATE / (4 * CHLORINE)
"""Sodium thiosulfate pentahydrate per chlorine by mass, oxidised fully to sulfate."""


def thiosulfate_g(volume_m3: float, now_ppm: float, target_ppm: float) -> float:
    """Sodium thiosulfate pentahydrate that takes free chlorine down, oxidised to sulfate.

    Args:
        volume_m3: pool volume, m³, above 0.
        now_ppm: free chlorine now, mg/L, to 1000.
        target_ppm: free chlorine wanted, mg/L, 0 to below `now_ppm`.

    Returns:
        Pentahydrate, g.

    Raises:
        RangeError: a value outside its range, or a target not below.

    Resolution: practice runs from 1 to 2 g per g of chlorine, as the reaction also stops short
        of sulfate; dose in steps.
    Source: S2O3(2-) + 4 HOCl + H2O -> 2 SO4(2-) + 4 Cl- + 6 H+.
    """
    require_above_zero("volume", volume_m3, "m³")
    require_between("free_chlorine", now_ppm, 0, 1000, "ppm")
    require_between("target", target_ppm, 0, 1000, "ppm")
    if target_ppm >= now_ppm:
        raise RangeError(*told("limits.chlorine_not_below", target=figure(target_ppm), now=figure(now_ppm)))
    return volume_m3 * (now_ppm - target_ppm) * THIOSULFATE_PER_CHLORINE

"""Salt in the water: doses, dilution, and what conductivity says about it."""

from __future__ import annotations

import math

from engine.chlorinator.limits import (
    RangeError,
    require_above_zero,
    require_between,
    require_not_negative,
)
from engine.foundation.texts import told
from engine.quantities.quantity import figure

MIN_TEMPERATURE_C = -2.0
MAX_TEMPERATURE_C = 35.0
MAX_SALINITY = 42.0
MAX_PPM = 50_000.0

# Practical Salinity Scale 1978: S(35, 15 °C) = 42.9140 mS/cm, and the polynomials of UNESCO
# Technical Papers in Marine Science 44 in the square root of the conductivity ratio.
_STANDARD_MS_CM = 42.9140
_A = (0.0080, -0.1692, 25.3851, 14.0941, -7.0261, 2.7081)
_B = (0.0005, -0.0056, -0.0066, -0.0375, 0.0636, -0.0144)
_C = (0.6766097, 2.00564e-2, 1.104259e-4, -6.9698e-7, 1.0031e-9)
_K = 0.0162
_HILL_BELOW = 2.0


def _polynomial(coefficients: tuple[float, ...], variable: float) -> float:
    value = 0.0
    for coefficient in reversed(coefficients):
        value = value * variable + coefficient
    return value


def _temperature_factor(t68: float) -> float:
    return (t68 - 15) / (1 + _K * (t68 - 15))


def _scale_1978(root: float, factor: float) -> float:
    """Practical salinity of the 1978 scale from the square root of the ratio Rt."""
    return _polynomial(_A, root) + factor * _polynomial(_B, root)


def _hill_offset(root: float, factor: float) -> float:
    """Hill's subtraction, which brings the scale to zero as the conductivity goes to zero."""
    x, root_y = 400 * root * root, 10 * root
    dilute = 1 + x * (1.5 + x)
    mixed = 1 + root_y * (1 + root_y * (1 + root_y))
    return _A[0] / dilute + _B[0] * factor / mixed


def _root_at(salinity: float, factor: float) -> float:
    """Find the square root of Rt at which the 1978 scale gives `salinity` (bisection)."""
    low, high = 0.0, 2.0
    for _ in range(60):
        middle = (low + high) / 2
        if _scale_1978(middle, factor) < salinity:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _salinity(conductivity: float, temperature_c: float) -> float:
    """Practical salinity at atmospheric pressure, without a check of the range."""
    t68 = temperature_c * 1.00024  # the scale is written in the temperature scale of 1968
    factor = _temperature_factor(t68)
    root = math.sqrt(conductivity / _STANDARD_MS_CM / _polynomial(_C, t68))
    salinity = _scale_1978(root, factor)
    if salinity >= _HILL_BELOW:
        return salinity
    # Hill's form is scaled so that both scales meet at 2.
    meeting = _HILL_BELOW / (_HILL_BELOW - _hill_offset(_root_at(_HILL_BELOW, factor), factor))
    return max(meeting * (salinity - _hill_offset(root, factor)), 0.0)


def practical_salinity(conductivity_ms_cm: float, temperature_c: float) -> float:
    """Practical salinity of water from its conductivity, compensated for temperature.

    Args:
        conductivity_ms_cm: conductivity at the water's own temperature, mS/cm, not negative.
        temperature_c: water temperature, -2 to 35 °C.

    Returns:
        Practical salinity (no unit), 0 to 42; 3.2 means about 3200 ppm of dissolved salts.

    Raises:
        RangeError: a temperature, conductivity or result outside these ranges.

    Resolution: 5 % plus the meter's own error. Everything ionic conducts, so this is the total
    of dissolved salts; pure sodium chloride reads about 2 % high.

    Source: Practical Salinity Scale 1978, Fofonoff & Millard 1983, UNESCO Tech. Pap. Mar.
        Sci. 44 (coefficients from memory), 2 to 42; below 2 the extension of Hill, Dauphinee
        & Woods 1986, IEEE J. Oceanic Eng. 11 (from memory).
    """
    require_between(
        "temperature",
        temperature_c,
        MIN_TEMPERATURE_C,
        MAX_TEMPERATURE_C,
        "°C",
        "room_temperature",
    )
    require_not_negative("conductivity", conductivity_ms_cm, "mS/cm")
    salinity = _salinity(conductivity_ms_cm, temperature_c)
    # An inverse computed at the end of the range must not fall out of it by rounding.
    if MAX_SALINITY < salinity < MAX_SALINITY * (1 + 1e-9):
        return MAX_SALINITY
    require_between(
        "practical_salinity",
        salinity,
        0,
        MAX_SALINITY,
        instead="dilute_sample",
    )
    return salinity


def conductivity_ms_cm(practical_salinity: float, temperature_c: float) -> float:
    """Conductivity of water of a known practical salinity.

    Args:
        practical_salinity: 0 to 42; 3.2 means about 3200 ppm.
        temperature_c: water temperature, -2 to 35 °C.

    Returns:
        Conductivity at that temperature, mS/cm.

    Raises:
        RangeError: a salinity or temperature outside these ranges.

    Source: the inverse of `practical_salinity`, found by bisection.
    """
    require_between(
        "temperature",
        temperature_c,
        MIN_TEMPERATURE_C,
        MAX_TEMPERATURE_C,
        "°C",
        "warm_or_cool",
    )
    require_between(
        "practical_salinity",
        practical_salinity,
        0,
        MAX_SALINITY,
        instead="as_salinity",
    )
    low, high = 0.0, 100.0
    for _ in range(70):
        middle = (low + high) / 2
        if _salinity(middle, temperature_c) < practical_salinity:
            low = middle
        else:
            high = middle
    return high if practical_salinity else 0.0


def _require_ppm(name: str, value: float) -> None:
    require_between(f"{name}_concentration", value, 0, MAX_PPM, "ppm", "in_ppm")


def salt_dose_kg(volume_m3: float, now_ppm: float, target_ppm: float, purity: float = 1) -> float:
    """Salt that brings a pool up to its target.

    Args:
        volume_m3: pool volume, m³, above 0.
        now_ppm: present salt, ppm taken as mg/L, 0 to 50 000.
        target_ppm: salt wanted, ppm, not below `now_ppm`, to 50 000.
        purity: share of the product that is salt, above 0, to 1.

    Returns:
        Product to add, kg.

    Raises:
        RangeError: a value outside its range, or a target below the present salt.

    Resolution: that of the two concentrations; taking ppm as mg/L is 0.3 % off at 3000 ppm.
    Source: mass balance.
    """
    require_above_zero("volume", volume_m3, "m³")
    _require_ppm("present", now_ppm)
    _require_ppm("target", target_ppm)
    if not 0 < purity <= 1:
        raise RangeError(*told("limits.no_purity", share=figure(purity)))
    if target_ppm < now_ppm:
        raise RangeError(*told("limits.target_below", target=figure(target_ppm), now=figure(now_ppm)))
    return volume_m3 * (target_ppm - now_ppm) / 1000 / purity


def volume_from_salt_m3(salt_kg: float, before_ppm: float, after_ppm: float) -> float:
    """Pool volume from the rise that a known amount of salt made, fully mixed.

    Args:
        salt_kg: pure salt added, kg, above 0.
        before_ppm: salt before, ppm (mg/L), 0 to 50 000.
        after_ppm: salt after a day of circulation, ppm, above `before_ppm`.

    Returns:
        Volume, m³.

    Raises:
        RangeError: a value outside its range, or no rise.

    Resolution: that of the rise: two readings of 50 ppm error on a rise of 800 give 9 %.
    Source: mass balance.
    """
    require_above_zero("salt_added", salt_kg, "kg")
    _require_ppm("first", before_ppm)
    _require_ppm("second", after_ppm)
    if after_ppm <= before_ppm:
        raise RangeError(*told("limits.no_rise", after=figure(after_ppm), before=figure(before_ppm)))
    return salt_kg * 1000 / (after_ppm - before_ppm)


def _require_dilution(now_ppm: float, target_ppm: float, fill_ppm: float) -> None:
    for name, value in (("present", now_ppm), ("target", target_ppm), ("fill", fill_ppm)):
        _require_ppm(name, value)
    if target_ppm >= now_ppm:
        raise RangeError(*told("limits.nothing_to_dilute", target=figure(target_ppm), now=figure(now_ppm)))
    if fill_ppm >= target_ppm:
        raise RangeError(*told("limits.fill_too_salty", fill=figure(fill_ppm), target=figure(target_ppm)))


def drain_m3(volume_m3: float, now_ppm: float, target_ppm: float, fill_ppm: float = 0) -> float:
    """Water to drain first and refill afterwards, to thin out what the pool holds too much of.

    Args:
        volume_m3: pool volume, m³, above 0.
        now_ppm: present concentration, ppm, to 50 000.
        target_ppm: concentration wanted, below `now_ppm`.
        fill_ppm: that of the fill water, below `target_ppm`.

    Returns:
        Water to drain, m³, less than the volume.

    Raises:
        RangeError: a value outside its range, or no water that does it.

    Source: mass balance.
    """
    require_above_zero("volume", volume_m3, "m³")
    _require_dilution(now_ppm, target_ppm, fill_ppm)
    return volume_m3 * (now_ppm - target_ppm) / (now_ppm - fill_ppm)


def overflow_m3(volume_m3: float, now_ppm: float, target_ppm: float, fill_ppm: float = 0) -> float:
    """Water to run in while the pool overflows, fully mixed, for the same end as `drain_m3`.

    Args:
        volume_m3: pool volume, m³, above 0.
        now_ppm: present concentration, ppm, to 50 000.
        target_ppm: concentration wanted, below `now_ppm`.
        fill_ppm: that of the fill water, below `target_ppm`.

    Returns:
        Water to run in, m³; always more than by draining.

    Raises:
        RangeError: a value outside its range, or no water that does it.

    Source: mass balance of a stirred tank being washed out.
    """
    require_above_zero("volume", volume_m3, "m³")
    _require_dilution(now_ppm, target_ppm, fill_ppm)
    return volume_m3 * math.log((now_ppm - fill_ppm) / (target_ppm - fill_ppm))

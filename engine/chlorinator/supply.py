"""The electrical supply: what a cable loses, what a transformer takes."""

from __future__ import annotations

from engine.chlorinator.limits import RangeError, require_above_zero, require_between
from engine.foundation.texts import say, told
from engine.quantities.quantity import figure

_COPPER_OHM_MM2_M = 0.017241
_COPPER_PER_K = 0.00393

# IEC 60228, class 2 copper, highest resistance at 20 °C in ohm/km (from memory).
_MAX_OHM_KM = {1.5: 12.1, 2.5: 7.41, 4.0: 4.61, 6.0: 3.08, 10.0: 1.83}

STANDARD_AREAS_MM2 = tuple(_MAX_OHM_KM)
"""Cross-sections for which the standard's highest resistance is known here, mm²."""


def _warm(temperature_c: float) -> float:
    """Resistance at a temperature relative to 20 °C."""
    require_between("conductor_temperature", temperature_c, -40, 120, "°C")
    return 1 + _COPPER_PER_K * (temperature_c - 20)


def cable_drop_v(length_m: float, current_a: float, area_mm2: float, temperature_c: float = 20) -> float:
    """Voltage lost in a two-wire copper cable, from the resistivity of copper.

    Args:
        length_m: one-way length, m, above 0; the current flows out and back.
        current_a: current, A, above 0.
        area_mm2: cross-section of each conductor, mm², above 0.
        temperature_c: conductor temperature, -40 to 120 °C; 70 °C is usual under load.

    Returns:
        Drop over both conductors, V.

    Raises:
        RangeError: a value outside its range.

    Resolution: a real cable loses 5 to 7 % more, as its copper is a little under its nominal
        area; contacts come on top.
    Source: IEC 60028: 0.017241 ohm mm²/m at 20 °C, 0.00393 per K (from memory).
    """
    require_above_zero("length", length_m, "m")
    require_above_zero("current", current_a, "A")
    require_above_zero("cross_section", area_mm2, "mm²")
    return 2 * length_m * current_a * _COPPER_OHM_MM2_M / area_mm2 * _warm(temperature_c)


def standard_cable_drop_v(length_m: float, current_a: float, area_mm2: float, temperature_c: float = 20) -> float:
    """The most a cable of a standard cross-section may lose.

    Args:
        length_m: one-way length, m, above 0.
        current_a: current, A, above 0.
        area_mm2: one of `STANDARD_AREAS_MM2`.
        temperature_c: conductor temperature, -40 to 120 °C.

    Returns:
        Drop over both conductors, V.

    Raises:
        RangeError: a value outside its range, or a cross-section not listed.

    Source: IEC 60228 class 2, maximum resistance at 20 °C (from memory), with the temperature
        coefficient of IEC 60028.
    """
    require_above_zero("length", length_m, "m")
    require_above_zero("current", current_a, "A")
    if area_mm2 not in _MAX_OHM_KM:
        listed = ", ".join(figure(area) for area in STANDARD_AREAS_MM2)
        raise RangeError(*told("limits.no_such_cable", area=figure(area_mm2), listed=listed))
    return 2 * length_m / 1000 * current_a * _MAX_OHM_KM[area_mm2] * _warm(temperature_c)


def transformer_va(voltage_v: float, current_a: float, efficiency: float, power_factor: float) -> float:
    """Apparent power a power pack draws from the mains for a DC load.

    Args:
        voltage_v: DC volts at the load, V, above 0.
        current_a: DC amps, A, above 0.
        efficiency: output over input power, above 0, to 1.
        power_factor: real over apparent power, above 0, to 1.

    Returns:
        Apparent power, VA.

    Raises:
        RangeError: a value outside its range.

    Source: definitions of efficiency and power factor.
    """
    require_above_zero("voltage", voltage_v, "V")
    require_above_zero("current", current_a, "A")
    for name, share in (("efficiency", efficiency), ("power_factor", power_factor)):
        if not 0 < share <= 1:
            raise RangeError(*told("limits.no_share", name=say(f"limits.names.{name}"), share=figure(share)))
    return voltage_v * current_a / (efficiency * power_factor)


def transformer_mains_a(apparent_power_va: float, mains_v: float = 230) -> float:
    """Current drawn from the mains.

    Args:
        apparent_power_va: apparent power, VA, above 0.
        mains_v: mains voltage, V, above 0.

    Returns:
        Current, A, for plausibility only: a fuse is replaced by what is marked on the unit.

    Raises:
        RangeError: a value outside its range.

    Source: definition of apparent power.
    """
    require_above_zero("apparent_power", apparent_power_va, "VA")
    require_above_zero("mains_voltage", mains_v, "V")
    return apparent_power_va / mains_v

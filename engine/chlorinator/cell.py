"""The cell: chlorine and gas by Faraday's law, and what its volts and amps say of it."""

from __future__ import annotations

from engine.chlorinator.limits import (
    RangeError,
    require_above_zero,
    require_between,
    require_not_negative,
    require_whole,
)
from engine.chlorinator.substances import (
    CHLORINE,
    FARADAY_C_MOL,
    GAS_CONSTANT,
    STANDARD_PRESSURE_PA,
    ZERO_CELSIUS_K,
)
from engine.chlorinator.water import conductivity_ms_cm
from engine.foundation.texts import say, told
from engine.quantities.quantity import figure

_ELECTRONS = 2
CHLORINE_G_AH = CHLORINE / (_ELECTRONS * FARADAY_C_MOL) * 3600
"""Chlorine for each ampere-hour and gap at full efficiency, 1.32280 g (Faraday's law)."""

CELL_VERDICTS = ("as_clean", "scaled_or_worn", "below_clean", "no_clean_value")
"""What `cell_verdict` may say."""

ONSET_V = 2.2
"""Volts that a gap takes before current flows: 1.358 + 0.828 V reversible, CRC Handbook, from memory."""
RAISED_ABOVE = 1.3
"""Ratio to the clean constant above which a cell is scaled or worn, under its inverse bridged: common practice."""


def _require_pack(current_a: float, gaps: float) -> None:
    require_above_zero("current", current_a, "A")
    require_whole("gaps", gaps)


def _require_share(name: str, share: float) -> None:
    if not 0 < share <= 1:
        raise RangeError(*told("limits.no_efficiency", name=say(f"limits.names.{name}"), share=figure(share)))


def chlorine_g_h(current_a: float, gaps: float = 1, efficiency: float = 0.8) -> float:
    """Chlorine a cell makes at a current.

    Args:
        current_a: DC current, A, above 0.
        gaps: cells in series through which that current passes, a whole number: 1 for a
            monopolar pack fed the full current, the number of gaps for a bipolar stack.
        efficiency: share of the current that makes chlorine, above 0, to 1.

    Returns:
        Chlorine, g/h.

    Raises:
        RangeError: a value outside its range.

    Resolution: `gaps` and `efficiency` are assumptions; 0.6 to 0.9 is usual at 3 to 5 g/L and
        falls with less salt, cold, a worn coating and more current (from memory).
    Source: Faraday's law, constant of CODATA 2018.
    """
    _require_pack(current_a, gaps)
    _require_share("efficiency", efficiency)
    return current_a * gaps * efficiency * CHLORINE_G_AH


def chlorine_current_a(chlorine_g_h: float, gaps: float = 1, efficiency: float = 0.8) -> float:
    """Current a cell needs for an output; the inverse of `chlorine_g_h`.

    Args:
        chlorine_g_h: chlorine wanted, g/h, above 0.
        gaps: cells in series, a whole number.
        efficiency: share of the current that makes chlorine, above 0, to 1.

    Returns:
        Current, A.

    Raises:
        RangeError: a value outside its range.

    Source: Faraday's law, constant of CODATA 2018.
    """
    require_above_zero("chlorine", chlorine_g_h, "g/h")
    require_whole("gaps", gaps)
    _require_share("efficiency", efficiency)
    return chlorine_g_h / (gaps * efficiency * CHLORINE_G_AH)


def hydrogen_l_h(current_a: float, gaps: float = 1, temperature_c: float = 25) -> float:
    """Hydrogen gas a cell makes beside the chlorine.

    Args:
        current_a: DC current, A, above 0; all of it makes hydrogen at the cathode.
        gaps: cells in series, a whole number.
        temperature_c: gas temperature, 0 to 60 °C.

    Returns:
        Dry gas at atmospheric pressure, L/h.

    Raises:
        RangeError: a value outside its range.

    Source: Faraday's law and the ideal gas law at 101.325 kPa.
    """
    _require_pack(current_a, gaps)
    require_between("temperature", temperature_c, 0, 60, "°C")
    moles_h = current_a * gaps * 3600 / (_ELECTRONS * FARADAY_C_MOL)
    kelvin = temperature_c + ZERO_CELSIUS_K
    return moles_h * GAS_CONSTANT * kelvin / STANDARD_PRESSURE_PA * 1000


def minutes_to_fill(current_a: float, gaps: float, cell_l: float, temperature_c: float = 25) -> float:
    """Time in which hydrogen fills a cell without flow.

    Args:
        current_a: DC current, A, above 0.
        gaps: cells in series, a whole number.
        cell_l: inside volume of the cell, L, above 0.
        temperature_c: gas temperature, 0 to 60 °C.

    Returns:
        Minutes; an explosive mixture with air needs far less gas (4 % of the volume).

    Raises:
        RangeError: a value outside its range.

    Source: `hydrogen_l_h`; chlorine and oxygen come on top.
    """
    require_above_zero("cell_volume", cell_l, "L")
    return 60 * cell_l / hydrogen_l_h(current_a, gaps, temperature_c)


def chlorine_need_g_day(volume_m3: float, demand_ppm_day: float) -> float:
    """Chlorine a pool uses in a day.

    Args:
        volume_m3: pool volume, m³, above 0.
        demand_ppm_day: loss of free chlorine, ppm a day, 0 to 100.

    Returns:
        Chlorine, g a day.

    Raises:
        RangeError: a value outside its range.

    Resolution: demand by common practice is good to a factor of two.
    Source: mass balance.
    """
    require_above_zero("volume", volume_m3, "m³")
    require_between("demand", demand_ppm_day, 0, 100, "ppm/day")
    return volume_m3 * demand_ppm_day


def full_output_hours(need_g_day: float, rate_g_h: float) -> float:
    """Hours a day at full output that make a day's chlorine; more than 24 cannot be had.

    Args:
        need_g_day: chlorine needed, g a day, not negative.
        rate_g_h: chlorine made at full output, g/h, above 0.

    Returns:
        Hours a day.

    Raises:
        RangeError: a value outside its range.

    Source: mass balance.
    """
    require_not_negative("need", need_g_day, "g/day")
    require_above_zero("rate", rate_g_h, "g/h")
    return need_g_day / rate_g_h


def output_percent(need_g_day: float, rate_g_h: float, run_h_day: float) -> float:
    """Output setting that makes a day's chlorine within the pump's hours.

    Args:
        need_g_day: chlorine needed, g a day, not negative.
        rate_g_h: chlorine made at full output, g/h, above 0.
        run_h_day: pump hours a day, above 0, to 24.

    Returns:
        Percent of full output; above 100 the unit cannot keep up in these hours.

    Raises:
        RangeError: a value outside its range.

    Source: mass balance; the setting is the share of each hour in which the cell produces.
    """
    require_above_zero("running_time", run_h_day, "h/day")
    require_between("running_time", run_h_day, 0, 24, "h/day", "hours_of_a_day")
    return 100 * full_output_hours(need_g_day, rate_g_h) / run_h_day


def cell_current_a(
    current_a: float,
    salinity: float,
    temperature_c: float,
    other_salinity: float,
    other_temperature_c: float,
) -> float:
    """Current of the same cell at the same voltage in other water.

    Args:
        current_a: current in the first water, A, above 0.
        salinity: practical salinity of the first water, above 0, to 42.
        temperature_c: its temperature, -2 to 35 °C.
        other_salinity: practical salinity of the other water, 0 to 42.
        other_temperature_c: its temperature, -2 to 35 °C.

    Returns:
        Current in the other water, A.

    Raises:
        RangeError: a value outside its range.

    Resolution: 5 %; a pack that regulates its current moves the voltage instead.
    Source: current is proportional to conductivity (`conductivity_ms_cm`).
    """
    require_above_zero("current", current_a, "A")
    require_above_zero("practical_salinity", salinity)
    ratio = conductivity_ms_cm(other_salinity, other_temperature_c) / conductivity_ms_cm(salinity, temperature_c)
    return current_a * ratio


def cell_constant_per_m(
    voltage_v: float,
    current_a: float,
    conductivity_ms_cm: float,
    gaps: float = 1,
    voltage0_v: float = ONSET_V,
) -> float:
    """Apparent cell constant: what the cell's own shape and plates add to the water's resistance.

    Args:
        voltage_v: DC volts at the cell's own terminals, above `gaps` x `voltage0_v`.
        current_a: DC amps, A, above 0.
        conductivity_ms_cm: conductivity of the water as it is, mS/cm, above 0.
        gaps: cells in series, a whole number.
        voltage0_v: volts a gap takes before current flows, 0 to 5 V; 2.2 to 2.8 is usual.

    Returns:
        Apparent constant, 1/m; scale and a worn coating raise it, salt and cold do not.

    Raises:
        RangeError: a value outside its range.

    Source: ohmic resistance beyond the electrode potentials: 1.358 + 0.828 V reversible
        (CRC Handbook, from memory).
    """
    _require_pack(current_a, gaps)
    require_above_zero("voltage", voltage_v, "V")
    require_above_zero("conductivity", conductivity_ms_cm, "mS/cm")
    require_between("voltage0", voltage0_v, 0, 5, "V", "usual_onset")
    threshold_v = gaps * voltage0_v
    if voltage_v <= threshold_v:
        volts = {
            "voltage": figure(voltage_v),
            "onset": figure(voltage0_v),
            "threshold": figure(threshold_v),
        }
        raise RangeError(*told("limits.no_current_yet", gaps=figure(gaps), **volts))
    return conductivity_ms_cm / 10 * (voltage_v - threshold_v) / current_a


def clean_ratio(constant_per_m: float, clean_per_m: float | None) -> float | None:
    """Ratio of an apparent constant to the clean cell's, or None where that is unknown.

    Args:
        constant_per_m: apparent constant now, 1/m, above 0.
        clean_per_m: the same when clean, 1/m, above 0, or None.

    Returns:
        Ratio; about 1 for a cell as when clean.

    Raises:
        RangeError: a constant that is not above 0.

    Source: definition.
    """
    if clean_per_m is None:
        return None
    require_above_zero("apparent_constant", constant_per_m, "1/m")
    require_above_zero("clean_value", clean_per_m, "1/m")
    return constant_per_m / clean_per_m


def cell_verdict(ratio: float | None) -> str:
    """Judge an apparent constant by its ratio to the clean cell's.

    Args:
        ratio: constant now over constant when clean, or None where the latter is unknown.

    Returns:
        One of `CELL_VERDICTS`: `as_clean` (a low current is then from salt or cold),
        `scaled_or_worn` above 1.3, `below_clean` under 1/1.3 (bridged plates, or one of the
        readings is wrong), `no_clean_value`.

    Source: common practice.
    """
    if ratio is None:
        return "no_clean_value"
    if ratio > RAISED_ABOVE:
        return "scaled_or_worn"
    return "below_clean" if ratio < 1 / RAISED_ABOVE else "as_clean"

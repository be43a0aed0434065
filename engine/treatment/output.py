"""How a unit is set, and how large one must be, so that an ordinary week is carried."""

from __future__ import annotations

import math
from dataclasses import dataclass

from engine.chlorinator.cell import chlorine_need_g_day, full_output_hours, output_percent
from engine.findings.chlorine_balance import ample_demand_ppm_day, ordinary_demand_ppm_day
from engine.treatment.amounts import Lack, NotYet, volume_lack
from engine.treatment.readings import USUAL_WATER_C, PoolReadings

_SIZED_AT = 2.0 / 3.0
"""Share of full output at which a new unit should carry an ordinary week: common practice, no source."""
_SPARING_SETTING = 0.75
"""Hours are told for this setting, so that a hot week still finds something to raise: common practice."""


@dataclass(frozen=True)
class Setting:
    """Output and hours that carry seven of ten pools of this size.

    percent: in steps of five, at the pump's own hours; None where those do not suffice. hours: a day; None where even
    24 do not suffice. sparing: whether the hours are told for three quarters of full output and not for all of it.
    need_g: chlorine a day. rate_g_h: of the unit, as on the label or else as usual. now_percent: as it is set, None
    where nobody said so. `lacks`: what was not said. Where that is the pump's hours, those are told that it takes;
    where it is the pool's size, all is for each `volume_m3` of it.
    """

    percent: float | None
    hours: float | None
    sparing: bool
    volume_m3: float
    water_c: float
    need_g: float
    rate_g_h: float
    now_percent: float | None
    lacks: tuple[Lack, ...]


@dataclass(frozen=True)
class UnitSize:
    """The output of a larger unit, g/h, from the chlorine that an ordinary day needs, g."""

    rate_g_h: float
    volume_m3: float
    water_c: float
    need_g: float
    hours: float


def _size_lacks(readings: PoolReadings) -> tuple[Lack, ...]:
    return (*volume_lack(readings), *(() if readings.numbers.get("run_hours") else ("hours",)))


def setting(readings: PoolReadings, each_m3: float = 10.0) -> Setting:
    """Setting and hours that carry seven of ten pools of this size, or each `each_m3` of one whose size nobody said.

    Raises:
        RangeError: a reading lies outside what the formula holds for.
    """
    hours = readings.numbers.get("run_hours") if readings.volume_m3 else None
    volume = readings.volume_m3 or each_m3
    rate, assumed = readings.chlorine_rate
    warmth = readings.water_c if readings.water_c is not None else USUAL_WATER_C
    need = chlorine_need_g_day(volume, ample_demand_ppm_day(warmth))
    lacks: tuple[Lack, ...] = (*_size_lacks(readings), *(("label",) if assumed else ()))
    found = _output(need, rate, hours)
    return Setting(*found, volume, warmth, need, rate, readings.numbers.get("output_setting"), lacks)


def _output(need_g: float, rate_g_h: float, hours: float | None) -> tuple[float | None, float | None, bool]:
    """Output and hours that make so much, and whether the hours are for three quarters of it; see `Setting`."""
    full = full_output_hours(need_g, rate_g_h)
    if full > 24:
        return None, None, False
    if hours and (percent := output_percent(need_g, rate_g_h, hours)) <= 100:
        return min(100, 5 * math.ceil(percent / 5)), hours, False
    spare = math.ceil(full / _SPARING_SETTING)
    return (None, spare, True) if spare <= 24 else (None, math.ceil(full), False)


def unit_size(readings: PoolReadings) -> UnitSize | NotYet:
    """Output that a larger unit needs, so that an ordinary week is carried with room to spare.

    Raises:
        RangeError: a reading lies outside what the formula holds for.
    """
    volume, hours = readings.volume_m3, readings.numbers.get("run_hours")
    if not volume or not hours:
        return NotYet(_size_lacks(readings), "size")
    warmth = max(readings.water_c if readings.water_c is not None else USUAL_WATER_C, USUAL_WATER_C)
    need = chlorine_need_g_day(volume, ordinary_demand_ppm_day(warmth))
    return UnitSize(need / min(hours, 24.0) / _SIZED_AT, volume, warmth, need, hours)

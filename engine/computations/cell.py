"""Catalogue: the cell's chlorine, current, gas, wear and cleaning."""

from __future__ import annotations

from engine.chlorinator import cell, upkeep
from engine.chlorinator.limits import require_not_negative
from engine.chlorinator.water import conductivity_ms_cm
from engine.computations.types import Entry, Key, KeyedValue, Result, significant
from engine.computations.water import VOLUME, WATER_C
from engine.foundation.texts import say
from engine.quantities.quantity import figure, show_number, show_quantity

_LITTLE_OVER = 1e-9


def _gaps(count: float) -> str:
    return say("compute_cell.one_gap") if count == 1 else say("compute_cell.gaps", count=f"{count:.0f}")


def _assumed(given: KeyedValue) -> tuple[str, str]:
    gaps = _gaps(given.number("gaps"))
    return say("compute_cell.assumed", **given.shown(gaps=gaps)), say("compute_cell.assumptions")


def _chlorine_output(given: KeyedValue) -> Result:
    current, gaps, efficiency, temp = given.numbers("current", "gaps", "efficiency", "temp")
    chlorine = cell.chlorine_g_h(current, gaps, efficiency)
    hydrogen = cell.hydrogen_l_h(current, gaps, temp)
    shown = given.shown(gaps=_gaps(gaps), yielded=figure(cell.CHLORINE_G_AH, ".4f"), chlorine=significant(chlorine, 2))
    return Result(
        {"chlorine_g_h": chlorine, "hydrogen_l_h": hydrogen},
        (
            say("compute_cell.output.chlorine", **shown),
            say("compute_cell.output.hydrogen", **given.shown(hydrogen=significant(hydrogen, 2))),
        ),
        _assumed(given),
    )


def _current_for(given: KeyedValue) -> Result:
    chlorine, gaps, efficiency = given.numbers("chlorine", "gaps", "efficiency")
    current = cell.chlorine_current_a(chlorine, gaps, efficiency)
    shown = given.shown(gaps=_gaps(gaps), yielded=figure(cell.CHLORINE_G_AH, ".4f"), current=significant(current, 2))
    return Result({"current_a": current}, (say("compute_cell.current_for.current", **shown),), _assumed(given))


def _balance_advice(given: KeyedValue, full_hours: float, percent: float) -> str:
    shown = given.shown(percent=show_number(percent, 0), needed=show_quantity(full_hours, "h"))
    if percent <= 100 * (1 + _LITTLE_OVER):
        return say("compute_cell.balance.carries", **shown)
    return say("compute_cell.balance.longer" if full_hours <= 24 else "compute_cell.balance.never", **shown)


def _chlorine_balance(given: KeyedValue) -> Result:
    volume, demand, rate, hours = given.numbers("volume", "demand", "rate", "hours")
    need = cell.chlorine_need_g_day(volume, demand)
    full_hours, percent = cell.full_output_hours(need, rate), cell.output_percent(need, rate, hours)
    carries = percent <= 100 * (1 + _LITTLE_OVER)
    shown = given.shown(need=show_quantity(need, "g"), hours=show_quantity(full_hours, "h"))
    return Result(
        {"need_g_day": need, "full_hours": full_hours, "output_percent": percent, "carries": carries},
        (say("compute_cell.balance.need", **shown), _balance_advice(given, full_hours, percent)),
        (say("compute_cell.balance.demand"),),
    )


def _cell_current(given: KeyedValue) -> Result:
    current, salinity, temp, salinity2, temp2 = given.numbers("current", "salinity", "temp", "salinity2", "temp2")
    other = cell.cell_current_a(current, salinity, temp, salinity2, temp2)
    before, after = conductivity_ms_cm(salinity, temp), conductivity_ms_cm(salinity2, temp2)
    return Result(
        {"current_a": other},
        (
            f"{show_quantity(current, 'A')} x {significant(after, 3)} / {significant(before, 3)} mS/cm"
            f" = {show_quantity(other, 'A')} ({100 * (other / current - 1):+.0f} %)",
        ),
        (say("compute_cell.current.same_cell"), say("compute_cell.current.worth")),
    )


def _cell_health(given: KeyedValue) -> Result:
    voltage, current, gaps, voltage0 = given.numbers("voltage", "current", "gaps", "voltage0")
    salinity, temp = given.numbers("salinity", "temp")
    require_not_negative("practical_salinity", salinity)
    water = conductivity_ms_cm(salinity, temp)
    constant = cell.cell_constant_per_m(voltage, current, water, gaps, voltage0)
    ratio = cell.clean_ratio(constant, given.maybe("clean"))
    verdict = cell.cell_verdict(ratio)
    says = say(f"compute_cell.verdicts.{verdict}")
    siemens, shown = significant(water / 10, 3), given.shown()
    return Result(
        {"constant_per_m": constant, "ratio": ratio, "verdict": verdict, "conductivity_ms_cm": water},
        (
            say("compute_cell.health.water", **given.shown(conductivity=significant(water, 3), siemens=siemens)),
            f"{siemens} x ({shown['voltage']} - {gaps:.0f} x {shown['voltage0']})"
            f" / {shown['current']} = {_compared(constant, ratio)}",
            f"{verdict}: {says}",
        ),
        (say("compute_cell.health.at_the_terminals"), say("compute_cell.health.both_polarities")),
    )


def _compared(constant: float, ratio: float | None) -> str:
    shown = f"{significant(constant, 3)} /m"
    return shown if ratio is None else say("compute_cell.health.times", constant=shown, ratio=show_number(ratio, 2))


def _wear(given: KeyedValue) -> Result:
    hours, shape, scale, further = given.numbers("hours", "shape", "scale", "further")
    alive = upkeep.survival(hours, shape, scale)
    conditional = upkeep.conditional_survival(hours, further, shape, scale)
    mean, b10 = upkeep.mean_life_h(shape, scale), upkeep.life_at_h(0.1, shape, scale)
    working = [say("compute_cell.wear.last", **given.shown(percent=show_number(100 * alive, 0)))]
    if further:
        working.append(say("compute_cell.wear.further", **given.shown(percent=show_number(100 * conditional, 0))))
    working.append(say("compute_cell.wear.mean", mean=significant(mean, 2), early=significant(b10, 2)))
    return Result(
        {
            "survival": alive,
            "conditional_survival": conditional,
            "mean_h": mean,
            "b10_h": b10,
            "median_h": upkeep.life_at_h(0.5, shape, scale),
        },
        tuple(working),
        (say("compute_cell.wear.no_field_data"),),
    )


def _cleaning_interval(given: KeyedValue) -> Result:
    interval = upkeep.cleaning_interval(given.number("hardness"), given.maybe("index"))
    due, reason = interval.months - given.number("since"), say(f"compute_cell.reasons.{interval.reason}")
    months, left = show_quantity(interval.months, "months"), show_quantity(abs(due), "months")
    shown = given.shown(reason=reason, months=months, left=left)
    return Result(
        {"months": interval.months, "due_in_months": due, "reason": reason},
        (say("compute_cell.cleaning.due" if due > 0 else "compute_cell.cleaning.overdue", **shown),),
        (say("compute_cell.cleaning.inspect"), say("compute_cell.cleaning.regardless")),
    )


def _gas_in_cell(given: KeyedValue) -> Result:
    current, gaps, volume, temp = given.numbers("current", "gaps", "cell", "temp")
    minutes = cell.minutes_to_fill(current, gaps, volume, temp)
    hydrogen = cell.hydrogen_l_h(current, gaps, temp)
    shown = given.shown(hydrogen=significant(hydrogen, 2), minutes=significant(minutes, 2))
    return Result(
        {"minutes_to_fill": minutes, "hydrogen_l_h": hydrogen},
        (say("compute_cell.gas.full", **shown),),
        (say("compute_cell.gas.burns"), say("compute_cell.gas.flow_sensor")),
    )


_CURRENT = Key("current", "A", "dc_current", usual=(0.1, 100))
_GAPS = Key("gaps", "number", "gaps", 1.0, usual=(1, 60))
_EFFICIENCY = Key("efficiency", "share", "efficiency", 0.8, usual=(0.2, 1), decimals=2)
_TEMP = Key("temp", "°C", "temp", usual=WATER_C)
_SALINITY = Key("salinity", "SP", "salinity", usual=(0.1, 42))

CELL = (
    Entry(
        "chlorine-output",
        (_CURRENT, _GAPS, _EFFICIENCY, Key("temp", "°C", "gas_temp", 25.0, usual=WATER_C)),
        _chlorine_output,
        "faraday_and_gas",
        ("making_gas",),
        example="current=7 gaps=4 efficiency=0.8",
    ),
    Entry(
        "current-for",
        (Key("chlorine", "g/h", "chlorine_wanted", usual=(0.5, 200)), _GAPS, _EFFICIENCY),
        _current_for,
        "faraday",
        ("making_gas",),
        example="chlorine=20 gaps=1 efficiency=0.8",
    ),
    Entry(
        "chlorine-balance",
        (
            VOLUME,
            Key("demand", "ppm/day", "demand", usual=(0.1, 20)),
            Key("rate", "g/h", "rate", usual=(0.5, 200)),
            Key("hours", "h", "hours_a_day", possible=(0, 24), usual=(0.25, 24)),
        ),
        _chlorine_balance,
        "mass_balance",
        ("low_test",),
        example="volume=50 demand=2.5 rate=15 hours=8",
    ),
    Entry(
        "cell-current",
        (
            _CURRENT,
            _SALINITY,
            _TEMP,
            Key("salinity2", "SP", "other_salinity", usual=(0.1, 42)),
            Key("temp2", "°C", "other_temp", usual=WATER_C),
        ),
        _cell_current,
        "conductivity",
        example="current=5 salinity=3 temp=25 salinity2=3 temp2=10",
    ),
    Entry(
        "cell-health",
        (
            Key("voltage", "V", "cell_volts", usual=(0.5, 100)),
            _CURRENT,
            _SALINITY,
            _TEMP,
            _GAPS,
            Key("voltage0", "V", "onset_volts", cell.ONSET_V, usual=(1.2, 5)),
            Key("clean", "number", "clean_constant", optional=True, usual=(0.005, 20)),
        ),
        _cell_health,
        "resistance",
        ("isolating",),
        cell.CELL_VERDICTS,
        "voltage=7.5 current=20 salinity=3 temp=25 clean=0.147",
    ),
    Entry(
        "wear",
        (
            Key("hours", "h", "operating_hours", usual=(10, 200_000)),
            Key("shape", "number", "weibull_shape", usual=(0.3, 20), decimals=2),
            Key("scale", "h", "weibull_scale", usual=(500, 200_000)),
            Key("further", "h", "further_hours", 0.0, usual=(5, 200_000)),
        ),
        _wear,
        "weibull",
        example="hours=8000 shape=3 scale=10000 further=2000",
    ),
    Entry(
        "cleaning-interval",
        (
            Key("hardness", "ppm", "hardness", possible=(0, 5000), usual=(5, 2000)),
            Key("index", "number", "index", optional=True, usual=(0.001, 4)),
            Key("since", "months", "since_cleaning", usual=(0.03, 240)),
        ),
        _cleaning_interval,
        "common_practice",
        ("cleaning",),
        example="hardness=350 since=2",
    ),
    Entry(
        "gas-in-cell",
        (
            _CURRENT,
            Key("gaps", "number", "cells", usual=(1, 60)),
            Key("cell", "L", "inside_volume", possible=(0, 100), usual=(0.05, 50)),
            Key("temp", "°C", "gas_temp", 25.0, usual=WATER_C),
        ),
        _gas_in_cell,
        "faraday_and_gas",
        ("making_gas", "venting"),
        example="current=7 gaps=4 cell=1 temp=25",
    ),
)
"""The computations of this part of the catalogue."""

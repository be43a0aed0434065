"""Catalogue: the cell's chlorine, current, gas, wear and cleaning."""

from __future__ import annotations

from engine.chlorinator import cell, upkeep
from engine.chlorinator.limits import require_not_negative
from engine.chlorinator.water import conductivity_ms_cm
from engine.computations.form import Answer, Entry, Given, Key, significant
from engine.computations.water import VOLUME
from engine.quantities import show_number, show_quantity

__all__ = ["CELL"]

_ASSUMED = (
    "gaps and efficiency are assumptions, the largest source of error; 0.6 to 0.9 is usual at 3 to 5 g/L (from memory)"
)
_LITTLE_OVER = 1e-9


def _gaps(count: float) -> str:
    return "1 gap" if count == 1 else f"{count:.0f} gaps"


def _chlorine_output(given: Given) -> Answer:
    current, gaps, efficiency = given.number("current"), given.number("gaps"), given.number("efficiency")
    temp = given.number("temp")
    chlorine = cell.chlorine_g_h(current, gaps, efficiency)
    hydrogen = cell.hydrogen_l_h(current, gaps, temp)
    return Answer(
        {"chlorine_g_h": chlorine, "hydrogen_l_h": hydrogen},
        (
            f"{show_quantity(current, 'A')} x {_gaps(gaps)} x {show_number(efficiency, 2)} x"
            f" {cell.CHLORINE_G_AH:.4f} g/Ah"
            f" = about {significant(chlorine, 2)} g/h of chlorine",
            f"and {significant(hydrogen, 2)} L/h of hydrogen at {show_quantity(temp, '°C')}",
        ),
        (f"assumed: {_gaps(gaps)} in series, efficiency {show_number(efficiency, 2)}", _ASSUMED),
    )


def _current_for(given: Given) -> Answer:
    chlorine, gaps, efficiency = given.number("chlorine"), given.number("gaps"), given.number("efficiency")
    current = cell.chlorine_current_a(chlorine, gaps, efficiency)
    return Answer(
        {"current_a": current},
        (
            f"{show_quantity(chlorine, 'g/h')} / ({_gaps(gaps)} x {show_number(efficiency, 2)} x"
            f" {cell.CHLORINE_G_AH:.4f} g/Ah) = about {significant(current, 2)} A",
        ),
        (f"assumed: {_gaps(gaps)} in series, efficiency {show_number(efficiency, 2)}", _ASSUMED),
    )


def _balance_advice(full_hours: float, hours: float, percent: float) -> str:
    if percent <= 100 * (1 + _LITTLE_OVER):
        return f"the unit carries the pool at {show_number(percent, 0)} %"
    if full_hours <= 24:
        return (
            f"the unit cannot keep up in {show_quantity(hours, 'h')}: run it at full output for at least"
            f" {show_quantity(full_hours, 'h')} a day"
        )
    return "the unit cannot keep up even round the clock: supplement by hand, or a larger unit"


def _chlorine_balance(given: Given) -> Answer:
    volume, demand = given.number("volume"), given.number("demand")
    rate, hours = given.number("rate"), given.number("hours")
    need = cell.chlorine_need_g_day(volume, demand)
    full_hours, percent = cell.full_output_hours(need, rate), cell.output_percent(need, rate, hours)
    carries = percent <= 100 * (1 + _LITTLE_OVER)
    return Answer(
        {"need_g_day": need, "full_hours": full_hours, "output_percent": percent, "carries": carries},
        (
            f"{show_quantity(volume, 'm³')} x {show_quantity(demand, 'ppm/day')} = {show_quantity(need, 'g')} a day,"
            f" {show_quantity(full_hours, 'h')} at {show_quantity(rate, 'g/h')}",
            f"{show_number(percent, 0)} % of {show_quantity(hours, 'h')}:"
            f" {_balance_advice(full_hours, hours, percent)}",
        ),
        (
            "a demand by common practice (1 to 2 ppm a day shaded, 2 to 4 in the sun with stabiliser) is"
            " good to a factor of two",
        ),
    )


def _cell_current(given: Given) -> Answer:
    current, salinity, temp = given.number("current"), given.number("salinity"), given.number("temp")
    salinity2, temp2 = given.number("salinity2"), given.number("temp2")
    other = cell.cell_current_a(current, salinity, temp, salinity2, temp2)
    before, after = conductivity_ms_cm(salinity, temp), conductivity_ms_cm(salinity2, temp2)
    return Answer(
        {"current_a": other},
        (
            f"{show_quantity(current, 'A')} x {significant(after, 3)} / {significant(before, 3)} mS/cm"
            f" = {show_quantity(other, 'A')} ({100 * (other / current - 1):+.0f} %)",
        ),
        (
            "the same cell at the same voltage; a pack that regulates its current moves the voltage instead",
            "good to 5 %",
        ),
    )


_VERDICT_SAYS = {
    "as_clean": "as when clean: a low current is then from salt or cold water",
    "scaled_or_worn": "scaled or worn: clean and measure again; back to the clean value = scale, still high = worn",
    "below_clean": "below the clean value: bridged plates, or one of the readings is wrong",
    "no_clean_value": "no value from when it was clean to compare with",
}


def _cell_health(given: Given) -> Answer:
    voltage, current, gaps, voltage0 = (given.number(name) for name in ("voltage", "current", "gaps", "voltage0"))
    salinity, temp, clean = given.number("salinity"), given.number("temp"), given.maybe("clean")
    require_not_negative("practical salinity", salinity)
    water = conductivity_ms_cm(salinity, temp)
    constant = cell.cell_constant_per_m(voltage, current, water, gaps, voltage0)
    ratio = cell.clean_ratio(constant, clean)
    verdict = cell.cell_verdict(ratio)
    compared = "" if ratio is None else f", {show_number(ratio, 2)} x the clean value"
    return Answer(
        {"constant_per_m": constant, "ratio": ratio, "verdict": verdict, "conductivity_ms_cm": water},
        (
            f"water at {show_quantity(temp, '°C')}: {significant(water, 3)} mS/cm = {significant(water / 10, 3)} S/m",
            f"{significant(water / 10, 3)} x ({show_quantity(voltage, 'V')} - {gaps:.0f} x"
            f" {show_quantity(voltage0, 'V')})"
            f" / {show_quantity(current, 'A')} = {significant(constant, 3)} /m{compared}",
            f"{verdict}: {_VERDICT_SAYS[verdict]}",
        ),
        (
            "volts at the cell's own terminals; many packs regulate their current, so then the voltage moves",
            "measure both polarities: scale is usually worse in one; above 1.3 is scaled or worn (common practice)",
        ),
    )


def _wear(given: Given) -> Answer:
    hours, shape, scale, further = (given.number(name) for name in ("hours", "shape", "scale", "further"))
    alive = upkeep.survival(hours, shape, scale)
    conditional = upkeep.conditional_survival(hours, further, shape, scale)
    going_on = (
        (f"of those, {show_number(100 * conditional, 0)} % last {show_quantity(further, 'h')} more",) if further else ()
    )
    mean, b10 = upkeep.mean_life_h(shape, scale), upkeep.life_at_h(0.1, shape, scale)
    return Answer(
        {
            "survival": alive,
            "conditional_survival": conditional,
            "mean_h": mean,
            "b10_h": b10,
            "median_h": upkeep.life_at_h(0.5, shape, scale),
        },
        (
            f"exp(-({show_quantity(hours, 'h')} / {show_quantity(scale, 'h')})^{show_number(shape, 2)}):"
            f" {show_number(100 * alive, 0)} % of such cells last {show_quantity(hours, 'h')}",
            *going_on,
            f"mean life {significant(mean, 2)} h; one in ten fails by {significant(b10, 2)} h",
        ),
        (
            "shape and scale are the user's: no field data on cells are published; 5000 to 10 000 h is"
            " usual (common practice)",
        ),
    )


def _cleaning_interval(given: Given) -> Answer:
    since = given.number("since")
    interval = upkeep.cleaning_interval(given.number("hardness"), given.maybe("index"))
    due = interval.months - since
    when = f"due in {show_quantity(due, 'months')}" if due > 0 else f"due now ({show_quantity(-due, 'months')} over)"
    return Answer(
        {"months": interval.months, "due_in_months": due, "reason": interval.reason},
        (
            f"{interval.reason}: every {show_quantity(interval.months, 'months')}; last"
            f" {show_quantity(since, 'months')} ago,"
            f" {when}",
        ),
        (
            "inspect every three months and clean only when scale is seen",
            "many in the trade clean every three months regardless; the unit's own handbook wins",
        ),
    )


def _gas_in_cell(given: Given) -> Answer:
    current, gaps, volume, temp = (given.number(name) for name in ("current", "gaps", "cell", "temp"))
    minutes = cell.minutes_to_fill(current, gaps, volume, temp)
    hydrogen = cell.hydrogen_l_h(current, gaps, temp)
    return Answer(
        {"minutes_to_fill": minutes, "hydrogen_l_h": hydrogen},
        (
            f"{significant(hydrogen, 2)} L/h of hydrogen: a cell of {show_quantity(volume, 'L')} without flow is full"
            f" in {significant(minutes, 2)} min",
        ),
        (
            "hydrogen burns in air from 4 % by volume (NFPA, from memory); chlorine comes on top",
            "this is why the flow sensor must never be bridged",
        ),
    )


_CURRENT = Key("current", "A", "DC current")
_GAPS = Key("gaps", "number", "cells in series: 1 for a monopolar pack, else the gaps of a bipolar stack", 1.0)
_EFFICIENCY = Key("efficiency", "share", "share of the current that makes chlorine", 0.8)
_TEMP = Key("temp", "°C", "water temperature")
_SALINITY = Key("salinity", "SP", "practical salinity; 3.2 means about 3200 ppm")
_FARADAY = "Faraday's law, 96485.33 C/mol (CODATA 2018)"

CELL = (
    Entry(
        "chlorine-output",
        "chlorine and hydrogen a cell makes",
        (_CURRENT, _GAPS, _EFFICIENCY, Key("temp", "°C", "gas temperature", 25.0)),
        _chlorine_output,
        f"{_FARADAY}; ideal gas",
        ("never_bypass_flow_sensor",),
        example="current=7 gaps=4 efficiency=0.8",
    ),
    Entry(
        "current-for",
        "current a cell needs for an output",
        (Key("chlorine", "g/h", "chlorine wanted"), _GAPS, _EFFICIENCY),
        _current_for,
        _FARADAY,
        ("not_on_undissolved_salt",),
        example="chlorine=20 gaps=1 efficiency=0.8",
    ),
    Entry(
        "chlorine-balance",
        "whether a unit carries a pool",
        (
            VOLUME,
            Key("demand", "ppm/day", "chlorine used"),
            Key("rate", "g/h", "output on the rating plate"),
            Key("hours", "h", "running time a day", possible=(0, 24)),
        ),
        _chlorine_balance,
        "mass balance",
        ("bleached_test",),
        example="volume=50 demand=2.5 rate=15 hours=8",
    ),
    Entry(
        "cell-current",
        "current of the same cell in other water",
        (
            _CURRENT,
            _SALINITY,
            _TEMP,
            Key("salinity2", "SP", "salinity of the other water"),
            Key("temp2", "°C", "temperature of the other water"),
        ),
        _cell_current,
        "current in proportion to conductivity, PSS-78",
        example="current=5 salinity=3 temp=25 salinity2=3 temp2=10",
    ),
    Entry(
        "cell-health",
        "whether a low current is the cell's fault or the water's",
        (
            Key("voltage", "V", "DC volts at the cell's terminals"),
            _CURRENT,
            _SALINITY,
            _TEMP,
            _GAPS,
            Key("voltage0", "V", "volts a gap takes before current flows", 2.2),
            Key("clean", "number", "apparent constant when clean, 1/m", optional=True),
        ),
        _cell_health,
        "ohmic resistance beyond the electrode potentials (CRC Handbook, from memory); PSS-78",
        ("isolate_and_prove_dead",),
        cell.CELL_VERDICTS,
        "voltage=7.5 current=20 salinity=3 temp=25 clean=0.147",
    ),
    Entry(
        "wear",
        "how likely a cell of so many hours lasts",
        (
            Key("hours", "h", "operating hours"),
            Key("shape", "number", "Weibull shape"),
            Key("scale", "h", "Weibull scale"),
            Key("further", "h", "further hours", 0.0),
        ),
        _wear,
        "Weibull distribution, IEC 61649 (from memory)",
        example="hours=8000 shape=3 scale=10000 further=2000",
    ),
    Entry(
        "cleaning-interval",
        "when the cell wants cleaning",
        (
            Key("hardness", "ppm", "calcium hardness, as CaCO3", possible=(0, 5000)),
            Key("index", "number", "calcite index, from scaling", optional=True),
            Key("since", "months", "since the last cleaning"),
        ),
        _cleaning_interval,
        "common practice",
        ("acid_never_with_chlorine", "acid_into_water", "splash_protection", "no_scraping"),
        example="hardness=350 since=2",
    ),
    Entry(
        "gas-in-cell",
        "how soon a cell without flow fills with hydrogen",
        (
            _CURRENT,
            Key("gaps", "number", "cells in series"),
            Key("cell", "L", "inside volume", possible=(0, 100)),
            Key("temp", "°C", "gas temperature", 25.0),
        ),
        _gas_in_cell,
        f"{_FARADAY}; ideal gas",
        ("never_bypass_flow_sensor", "gas_in_cell"),
        example="current=7 gaps=4 cell=1 temp=25",
    ),
)
"""The computations of this part of the catalogue."""

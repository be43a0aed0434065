"""The figure behind a derived finding: the ratio, index or amounts that its words stand for."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from engine.chlorinator.balance import PoolWater, water_index
from engine.chlorinator.cell import cell_constant_per_m, chlorine_need_g_day
from engine.chlorinator.water import MAX_SALINITY, MAX_TEMPERATURE_C, MIN_TEMPERATURE_C, conductivity_ms_cm
from engine.findings.evidence import ordinary_demand_ppm_day, production_hours
from engine.foundation.texts import say
from engine.knowledge.model import Finding
from engine.quantities.quantity import show_number
from engine.quantities.units import convert
from reports.view.known import KnownReadings, two_digits

Read = Callable[[str], float]
"""A reading by its check, or what is usual for it where it was not taken. Raises KeyError where there is neither."""

_STAND_INS: Mapping[str, str] = {"water_temp": "unit_temp"}


def figure_behind(finding: Finding, known: KnownReadings) -> str:
    """The figure of a derived finding in a few words, empty where it has none or the readings allow none."""
    shown = _FIGURES.get(finding.id)

    def read(check: str) -> float:
        for name in (check, _STAND_INS.get(check, check)):
            if name in known.numbers:
                return known.numbers[name]
        return finding.assume[check].points[0][0]

    try:
        return "" if shown is None else shown(read, known)
    except (KeyError, ValueError, ArithmeticError):
        # Also readings so near nothing that the figure is beyond all numbers.
        return ""


def _ratio(part: str, whole_of: str) -> Callable[[Read, KnownReadings], str]:
    return lambda read, _: say("view_amounts.figures.ratio", percent=f"{100.0 * read(part) / read(whole_of):.0f}")


def _conductivity(salt_ppm: float, temperature_c: float) -> float:
    """Of salt and temperature within the formula, as in the findings."""
    warmth = min(max(temperature_c, MIN_TEMPERATURE_C), MAX_TEMPERATURE_C)
    return conductivity_ms_cm(min(salt_ppm / 1000.0, MAX_SALINITY), warmth)


def _cell(read: Read, known: KnownReadings) -> str:
    rated = known.unit.values
    water = _conductivity(read("tested_salt"), read("water_temp"))
    at_rating = _conductivity(rated["rated.salt"], rated["rated.temperature"])
    now = cell_constant_per_m(abs(read("cell_voltage")), abs(read("cell_current")), water, rated["gaps"])
    clean = cell_constant_per_m(rated["rated.voltage"], rated["rated.current"], at_rating, rated["gaps"])
    # A cell constant is a length's inverse: so many for each metre, or for each inch.
    per, size, places = ("in", convert(1.0, "in", "m"), 5) if known.units == "us" else ("m", 1.0, 3)
    return say(
        "view_amounts.figures.cell",
        now=f"{show_number(now * size, places)} /{per}",
        times=f"{now / clean:.1f}",
        clean=f"{show_number(clean * size, places)} /{per}",
    )


def _current(read: Read, known: KnownReadings) -> str:
    rated = known.unit.values
    water = _conductivity(read("tested_salt"), read("water_temp"))
    at_rating = _conductivity(rated["rated.salt"], rated["rated.temperature"])
    expected = rated["rated.current"] * water / at_rating
    percent = f"{100.0 * abs(read('cell_current')) / expected:.0f}"
    return say("view_amounts.figures.current", percent=percent, expected=f"{show_number(expected, 1)} A")


def _index(read: Read, _: KnownReadings) -> str:
    names = ("ph", "water_temp", "hardness", "alkalinity", "stabiliser", "tested_salt")
    return say("view_amounts.figures.index", index=f"{water_index(PoolWater(*map(read, names))):+.1f}")


def _wear(read: Read, known: KnownReadings) -> str:
    hours = production_hours(read("cell_age_years"), read("run_hours"), read("output_setting"))
    life = known.unit.values["electrode_hours"]
    return say("view_amounts.figures.wear", run=f"{two_digits(hours):.0f} h", life=f"{life:.0f} h")


def _balance(read: Read, known: KnownReadings) -> str:
    need = chlorine_need_g_day(read("pool_volume"), ordinary_demand_ppm_day(read("water_temp")))
    made = read("rated_output") * min(read("output_setting"), 100.0) / 100.0 * min(read("run_hours"), 24.0)
    return say("view_amounts.figures.balance", made=known.whole(made, "g"), need=known.whole(need, "g"))


_FIGURES: Mapping[str, Callable[[Read, KnownReadings], str]] = {
    "salt_gap": _ratio("unit_salt", "tested_salt"),
    "current_gap": _current,
    "cell_health": _cell,
    "cell_wear": _wear,
    "scaling_tendency": _index,
    "chlorine_balance": _balance,
}

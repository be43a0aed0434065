"""The maintenance plan that closes a sheet: cleaning, strong chlorine, the cold season, and wear of the cell."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from engine.chlorinator.balance import PoolWater, water_index
from engine.chlorinator.cell import cell_current_a, chlorine_need_g_day, output_percent
from engine.chlorinator.limits import RangeError
from engine.chlorinator.upkeep import cleaning_interval, further_life_h
from engine.quantities import show_quantity
from engine.readings import SEASON_SHARE, ordinary_demand_ppm_day, production_hours
from reports.view.case import Case
from reports.view.known import VOLUME, Known, two_digits, whole
from reports.view.model import Action, Amount, PlanLine
from reports.words import day_after, joined, said_to

__all__ = ["maintenance_plan", "scaling_index"]

_DAYS_A_MONTH = 30.44
_DAYS_A_YEAR = 365.25
_CLEANS, _NEW_CELL = "acid_clean", "new_cell"
_STRONG_DOSE = "superchlorinate"
_MAKES_IT_NEW = (_CLEANS, _NEW_CELL)
_STRONG_HOURS, _STRONG_RISE_PPM = 24.0, 10.0
"""A day at full output, and the rise that is enough: common practice, no source."""
_COLD_C = 15.0
"""The cool water that a setting is told for: the middle of 10 to 20 °C, where pools stand before and after summer."""
_WEAR_SHAPE = 3.0
"""Weibull shape of a cell's wear: judgement, as no field data are published; 2 to 4 is usual for wear."""
_LACKS: Mapping[str, str] = {
    "hardness": "a calcium hardness test",
    "pool_volume": VOLUME,
    "cell_age_years": "the age of the cell",
}


def maintenance_plan(case: Case, laid_out: Sequence[Action], known: Known) -> tuple[PlanLine, ...]:
    """What keeps the unit going, worked out for this pool; each line says what it lacks where it cannot be.

    Args:
        laid_out: the actions on the sheet; what they renew counts from them.
        known: the readings of the job; those taken after a repair stand in for older ones.
    """
    if not case.judges:
        return ()
    later = {c: float(r.value) for c, r in case.job.readings.items() if not isinstance(r.value, str)}
    now = Known({**known.numbers, **later}, known.knowledge, known.unit)
    if not any(check in now.numbers for check in _LACKS):
        return (PlanLine(said_to(case.voice, "A plan for this pool", "Plan"), _nothing_known()),)
    renewed = _renewed(case, laid_out)
    return (
        PlanLine(said_to(case.voice, "Cleaning the cell", "Cell cleaning"), _cleaning(case, renewed, now)),
        PlanLine(
            said_to(case.voice, "After a storm or a crowd", "After a storm or heavy load"), _strong(case, laid_out, now)
        ),
        PlanLine(said_to(case.voice, "In the cold season", "Cold season"), _cold(case, now)),
        PlanLine(said_to(case.voice, "When the cell wears out", "Cell wear"), _wear(case, renewed, now)),
    )


def scaling_index(known: Known) -> tuple[float | None, tuple[str, ...]]:
    """Calcite index of the water as tested, and which tests it lacks; None too where it lies outside the formula."""
    numbers = known.numbers
    tests = {
        "ph": "pH",
        "hardness": "calcium hardness",
        "alkalinity": "alkalinity",
        "stabiliser": "stabiliser",
        "tested_salt": "salt",
    }
    missing = [name for check, name in tests.items() if check not in numbers]
    warmth = known.water_c
    if warmth is None:
        missing.append("water temperature")
    if missing or warmth is None:
        return None, tuple(missing)
    read = [numbers[check] for check in ("hardness", "alkalinity", "stabiliser", "tested_salt")]
    try:
        return water_index(PoolWater(numbers["ph"], warmth, *read)), ()
    except RangeError:
        return None, ()


def _nothing_known() -> Amount:
    return Amount("not worked out yet", missing=tuple(_LACKS.values()))


def _renewed(case: Case, laid_out: Sequence[Action]) -> Mapping[str, str]:
    """The cleaning and the new cell that this job did (`done`), or that its first work is (`planned`)."""
    tried = {event.about for event in case.standing if event.kind == "already_tried"}
    done = {name: "done" for name in _MAKES_IT_NEW if case.job.repaired.get(name) == "done" and name not in tried}
    first = laid_out[0].repair if laid_out else ""
    return {**({first: "planned"} if first in _MAKES_IT_NEW else {}), **done}


def _cleaning(case: Case, renewed: Mapping[str, str], known: Known) -> Amount:
    hardness, since = known.numbers.get("hardness"), known.numbers.get("months_since_clean")
    look = _look(case, 3.0)
    if hardness is None:
        return Amount("not worked out yet", look, (_LACKS["hardness"],))
    index, untested = scaling_index(known)
    try:
        interval = cleaning_interval(hardness, index)
    except RangeError as error:
        return Amount("not worked out", f"The readings give no answer: {error}. {look}")
    look = _look(case, interval.months)
    every = "every month" if interval.months == 1 else f"every {_months(interval.months)}"
    fresh = next((renewed[name] for name in _MAKES_IT_NEW if name in renewed), "")
    said = f"Calcium hardness {show_quantity(hardness, 'ppm')}, by common practice"
    if index is not None:
        said += f"; scaling index {index:+.1f}, give or take 0.1"
    elif untested:
        said += f". Not tested for the scaling index: {joined(untested)}"
    if fresh == "planned":
        return Amount(f"{every}; {_next(case, interval.months)}, if the work above is done today", f"{said}. {look}")
    if fresh == "done":
        return Amount(f"{every}; {_next(case, interval.months)}", f"{said}; cleaned or new now. {look}")
    if since is None:
        return Amount(every, f"{said}. {look}", ("when the cell was last cleaned (for the date)",))
    ago = f"last cleaned {_months(since)} ago"
    return Amount(f"{every}; {_next(case, interval.months - since)}", f"{said}; {ago}. {look}")


def _look(case: Case, months: float) -> str:
    """A cell is looked at this often, three months at most, and cleaned only where it needs it: common practice."""
    often = "each time" if months < 3 else "every three months"
    how = said_to(case.voice, " Ask for the steps and cautions of that work first.", "")
    return f"Look into the cell {often} and clean it only where scale is seen; each clean costs coating.{how}"


def _next(case: Case, months: float) -> str:
    if months <= 0:
        return "due now"
    when = day_after(case.date, round(months * _DAYS_A_MONTH)).strip(" ()")
    return f"next on {when}" if when else f"next in {_months(months)}"


def _months(months: float) -> str:
    return show_quantity(months, "months")


def _rate(known: Known) -> tuple[float, str]:
    """Chlorine at full output, g/h, and a word where it is the profile's and not the label's."""
    rate = known.numbers.get("rated_output")
    usual = known.unit.values["rated.chlorine"]
    return (rate, "") if rate is not None else (usual, " (taken as usual; the label says)")


def _strong(case: Case, laid_out: Sequence[Action], known: Known) -> Amount:
    """A day at full output, or fewer hours where a large unit would overshoot in a small pool."""
    rate, taken = _rate(known)
    volume = known.numbers.get("pool_volume")
    when = said_to(
        case.voice,
        "begin the same evening; set the output back afterwards, and stay out until a test is in range",
        "from the same evening; return the setting; no bathing until in range",
    )
    readings = case.judged.job.readings
    load = readings.get("bather_load")
    due = load is not None and load.value == "heavy_or_storm" and not (laid_out and laid_out[0].repair == _STRONG_DOSE)
    now = "; due now, once the unit works again" if due else ""
    if not volume:
        return Amount(f"24 h at full output with the pump on, {when}{now}", missing=(f"{VOLUME} (for the rise)",))
    made = rate * _STRONG_HOURS
    rise = made / volume
    working = (
        f"{show_quantity(rate, 'g/h')}{taken} in 24 h is {whole(made, 'g')}, {show_quantity(two_digits(rise), 'ppm')} "
        f"in {show_quantity(volume, 'm³')}. Rain thins salt and stabiliser: test both."
    )
    if rise > _STRONG_RISE_PPM:
        hours = max(round(_STRONG_RISE_PPM * volume / rate), 1)
        working = f"24 h would make more than {show_quantity(_STRONG_RISE_PPM, 'ppm')}. {working}"
        return Amount(f"{show_quantity(hours, 'h')} at full output with the pump on, {when}{now}", working)
    return Amount(f"24 h at full output with the pump on, {when}{now}", working)


def _cold(case: Case, known: Known) -> Amount:
    """What to do as the water cools: less output, no salt on a low reading, and hand dosing below the limit."""
    limit = show_quantity(known.unit.values["lockout"], "°C")
    text = said_to(
        case.voice,
        f"at {limit} or less the unit rests: test each week and add chlorine by hand; add no salt because its own "
        "number falls",
        f"lockout at {limit}: weekly test, hand dose; no salt on the unit's falling figure",
    )
    frost = said_to(
        case.voice,
        "Where it freezes, have the cell taken out and kept dry before the first frost.",
        "Before frost isolate, take the cell out, drain the pipework, keep it dry.",
    )
    volume, hours = known.numbers.get("pool_volume"), known.numbers.get("run_hours")
    lacks = [name for value, name in ((volume, VOLUME), (hours, "the pump's hours a day")) if not value]
    if not volume or not hours:
        return Amount(text, f"{_less_current(known)}{frost}", (f"{joined(lacks)} (for a setting)",))
    rate, taken = _rate(known)
    need = chlorine_need_g_day(volume, ordinary_demand_ppm_day(_COLD_C))
    try:
        setting = 5 * -(-output_percent(need, rate, hours) // 5)
    except RangeError as error:
        return Amount(text, f"The readings give no setting: {error}. {frost}")
    at = f"{setting:.0f} %" if setting <= 100 else "full output"
    working = (
        f"At {show_quantity(_COLD_C, '°C')} about {at} at {show_quantity(hours, 'h')} a day: "
        f"{show_quantity(volume, 'm³')} then use some {whole(need, 'g')} a day, the unit makes "
        f"{show_quantity(rate, 'g/h')}{taken}. "
    )
    return Amount(text, f"{working}{_less_current(known)}{frost}")


def _less_current(known: Known) -> str:
    """How much less current the same salt gives in cool water, so that it is not taken for a fault."""
    salt = known.numbers.get("tested_salt")
    warm = known.unit.values["rated.temperature"]
    if salt is None or not 500 <= salt <= 42_000:
        return ""
    cool = cell_current_a(100.0, salt / 1000, min(warm, 35.0), salt / 1000, _COLD_C)
    return (
        f"The same salt then gives about {100 - cool:.0f} % less current than at {show_quantity(warm, '°C')}; "
        "that is no fault. "
    )


def _wear(case: Case, renewed: Mapping[str, str], known: Known) -> Amount:
    """When half of such cells, and one in ten, are worn out: from age, hours, setting and the profile's life."""
    age = 0.0 if _NEW_CELL in renewed else known.numbers.get("cell_age_years")
    if age is None:
        return Amount("not worked out yet", missing=(_LACKS["cell_age_years"],))
    day_h, usual = _production(known)
    if day_h <= 0:
        return Amount("not worked out yet", missing=("the pump's hours a day and the output setting",))
    year_h = production_hours(1.0, day_h, 100.0)
    life_h = known.unit.values["electrode_hours"]
    run_h = age * year_h
    early, middle = (further_life_h(run_h, failed, _WEAR_SHAPE, life_h) / year_h for failed in (0.1, 0.5))
    each_day = f"{show_quantity(day_h, 'h')} of production a day"
    worked = f"{show_quantity(age, 'years')} at {each_day} make about {two_digits(run_h):.0f} h"
    assumed = ", taken as a usual unit's" if case.job.unit_assumed or case.job.unit is None else ""
    return Amount(
        f"half of such cells within {_years(middle)}{_around(case, middle)}, one in ten within {_years(early)}",
        f"{worked if age else f'From new, with {each_day}'}; such cells give about {life_h:.0f} h{assumed}. "
        f"Taken as usual: {joined([*usual, f'{round(12 * SEASON_SHARE)} months of use a year'])}. No field data are "
        "published, so this is a rough guide; salt in range and few acid cleans stretch it.",
    )


def _production(known: Known) -> tuple[float, list[str]]:
    """Hours a day in which the cell makes chlorine, and what of it was taken as usual; 0 where nobody can say."""
    taken = []
    day_h, share = known.numbers.get("run_hours"), known.numbers.get("output_setting")
    if day_h is None:
        day_h = known.usual("chlorine_balance", "run_hours") or 0.0
        taken.append(f"{show_quantity(day_h, 'h')} a day")
    if share is None:
        share = known.usual("chlorine_balance", "output_setting") or 0.0
        taken.append(f"output {show_quantity(share, '%')}")
    return min(day_h, 24.0) * min(share, 100.0) / 100.0, taken


def _years(years: float) -> str:
    return _months(max(round(years * 12), 1)) if years < 2 else show_quantity(round(years), "years")


def _around(case: Case, years: float) -> str:
    """The year that lies so far ahead, where the sheet bears a date."""
    when = day_after(case.date, round(years * _DAYS_A_YEAR)).strip(" ()")
    return f" (about {when[:4]})" if when else ""

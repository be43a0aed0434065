"""The maintenance plan that closes a sheet: cleaning, strong chlorine, the cold season, and wear of the cell."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from engine.chlorinator.balance import PoolWater, water_index
from engine.chlorinator.cell import cell_current_a, chlorine_need_g_day, output_percent
from engine.chlorinator.limits import RangeError
from engine.chlorinator.upkeep import cleaning_interval, further_life_h
from engine.findings.cell_wear import SEASON_SHARE, production_hours
from engine.findings.chlorine_balance import ordinary_demand_ppm_day
from engine.foundation.texts import say
from engine.knowledge.properties import Renewed
from reports.phrases import date_after, joined
from reports.view.case import JobCase
from reports.view.known import KnownReadings, two_digits
from reports.view.model import Action, Amount, PlanLine

_DAYS_A_MONTH = 30.44
_LEAST_H = 1 / 60
"""Hours a day; what makes chlorine for less than a minute does not wear, and its life would be no figure."""
_DAYS_A_YEAR = 365.25
_STRONG_HOURS, _STRONG_RISE_PPM = 24.0, 10.0
"""A day at full output, and the rise that is enough: common practice, no source."""
_COLD_C = 15.0
"""The cool water that a setting is told for: the middle of 10 to 20 °C, where pools stand before and after summer."""
_WEAR_SHAPE = 3.0
"""Weibull shape of a cell's wear: judgement, as no field data are published; 2 to 4 is usual for wear."""
_LACKS: Mapping[str, str] = {"hardness": "hardness", "pool_volume": "volume", "cell_age_years": "cell_age"}
"""The checks that a plan lives on, with how each is named where it is missing."""
_INDEX_TESTS = ("ph", "hardness", "alkalinity", "stabiliser", "tested_salt")


def maintenance_plan(case: JobCase, laid_out: Sequence[Action], known: KnownReadings) -> tuple[PlanLine, ...]:
    """What keeps the unit going, worked out for this pool; each line says what it lacks where it cannot be.

    Args:
        laid_out: the actions on the sheet; what they renew counts from them.
        known: the readings of the job; those taken after a repair stand in for older ones.
    """
    if not case.judges:
        return ()
    later = {c: float(r.value) for c, r in case.job.readings.items() if not isinstance(r.value, str)}
    now = KnownReadings({**known.numbers, **later}, known.knowledge, known.unit, known.units)
    if not any(check in now.numbers for check in _LACKS):
        return (PlanLine(say(f"view_plan.lines.whole.{case.reader}"), _nothing_known()),)
    renewed = _renewed(case, laid_out)
    lines = {
        "cleaning": _cleaning(case, renewed, now),
        "storm": _strong(case, laid_out, now),
        "cold": _cold(case, now),
        "wear": _wear(case, renewed, now),
    }
    return tuple(PlanLine(say(f"view_plan.lines.{line}.{case.reader}"), amount) for line, amount in lines.items())


def scaling_index(known: KnownReadings) -> tuple[float | None, tuple[str, ...]]:
    """Calcite index of the water as tested, and which tests it lacks; None too where it lies outside the formula."""
    numbers = known.numbers
    missing = [say(f"view_plan.tests.{check}") for check in _INDEX_TESTS if check not in numbers]
    warmth = known.water_c
    if warmth is None:
        missing.append(say("view_plan.tests.water_temp"))
    if missing or warmth is None:
        return None, tuple(missing)
    read = [numbers[check] for check in ("hardness", "alkalinity", "stabiliser", "tested_salt")]
    try:
        return water_index(PoolWater(numbers["ph"], warmth, *read)), ()
    except RangeError:
        return None, ()


def _nothing_known() -> Amount:
    missing = tuple(say(f"view_amounts.missing.{lack}") for lack in _LACKS.values())
    return Amount(say("view_amounts.not_yet"), missing=missing)


def _renewed(case: JobCase, laid_out: Sequence[Action]) -> Mapping[Renewed, str]:
    """The cleaning and the new cell that this job did (`done`), or that its first work is (`planned`)."""
    tried = {event.about for event in case.standing if event.kind == "already_tried"}
    found: dict[Renewed, str] = {}
    if laid_out and (planned := case.knowledge.repairs[laid_out[0].repair].renews) is not None:
        found[planned] = "planned"
    for name, outcome in case.job.repaired.items():
        repair = case.repair(name)
        if repair is not None and repair.renews is not None and outcome == "done" and name not in tried:
            found[repair.renews] = "done"
    return found


def _cleaning(case: JobCase, renewed: Mapping[Renewed, str], known: KnownReadings) -> Amount:
    hardness, since = known.numbers.get("hardness"), known.told("months_since_clean")
    look = _look(case, 3.0)
    if hardness is None:
        return Amount(say("view_amounts.not_yet"), missing=(say("view_amounts.missing.hardness"),), care=look)
    index, untested = scaling_index(known)
    try:
        interval = cleaning_interval(hardness, index)
    except RangeError:
        return Amount(say("view_amounts.not_worked_out"), say("view_amounts.no_answer"), care=look)
    look = _look(case, interval.months)
    every = say("view_plan.cleaning.every", span=known.show(interval.months, "months"))
    if interval.months == 1:
        every = say("view_plan.cleaning.monthly")
    by = _interval_by(known.show(hardness, "ppm"), index, untested)
    working = say("view_plan.cleaning.working", by=by)
    fresh = renewed.get("cleaning", renewed.get("cell", ""))
    if fresh == "planned":
        text = say("view_plan.cleaning.planned", every=every, next=_next(case, interval.months))
        return Amount(text, working, care=look)
    if fresh == "done":
        text = say("view_plan.cleaning.then", every=every, next=_next(case, interval.months))
        return Amount(text, say("view_plan.cleaning.working_new", by=by), care=look)
    if since is None:
        return Amount(every, working, (say("view_amounts.missing.last_clean"),), look)
    text = say("view_plan.cleaning.then", every=every, next=_next(case, interval.months - since))
    working = say("view_plan.cleaning.working_ago", by=by, span=known.show(since, "months"))
    return Amount(text, working, care=look)


def _interval_by(hardness: str, index: float | None, untested: Sequence[str]) -> str:
    """What the interval of cleaning was told from."""
    if index is not None:
        return say("view_plan.cleaning.by.index", hardness=hardness, index=f"{index:+.1f}")
    if untested:
        return say("view_plan.cleaning.by.untested", hardness=hardness, tests=joined(untested))
    return say("view_plan.cleaning.by.hardness", hardness=hardness)


def _look(case: JobCase, months: float) -> str:
    """A cell is looked at this often, three months at most, and cleaned only where it needs it: common practice."""
    often = "each_time" if months < 3 else "quarterly"
    return say(f"view_plan.cleaning.look.{often}.{case.reader}")


def _next(case: JobCase, months: float) -> str:
    if months <= 0:
        return say("view_plan.cleaning.next.due")
    when = date_after(case.date, round(months * _DAYS_A_MONTH))
    if when:
        return say("view_plan.cleaning.next.dated", date=when)
    return say("view_plan.cleaning.next.later", span=case.show(months, "months"))


def _rate(known: KnownReadings) -> tuple[float, str]:
    """Chlorine at full output, g/h, and the same in words, which say where it is the profile's and not the label's."""
    rate = known.numbers.get("rated_output")
    if rate is not None:
        return rate, known.show(rate, "g/h")
    usual = known.unit.values["rated.chlorine"]
    return usual, say("view_plan.usual_rate", rate=known.show(usual, "g/h"))


def _strong(case: JobCase, laid_out: Sequence[Action], known: KnownReadings) -> Amount:
    """A day at full output, or fewer hours where a large unit would overshoot in a small pool."""
    rate, rate_told = _rate(known)
    volume = known.numbers.get("pool_volume")
    dosed = bool(laid_out) and case.knowledge.repairs[laid_out[0].repair].strong_dose
    due = _heavily_used(case) and not dosed
    key = "text_due" if due else "text"
    if not volume:
        text = say(f"view_plan.storm.{key}.{case.reader}", hours=known.show(_STRONG_HOURS, "h"))
        lacking = say("view_amounts.missing.for_the_rise", missing=say("view_amounts.missing.volume"))
        return Amount(text, missing=(lacking,))
    made = rate * _STRONG_HOURS
    rise = made / volume
    working = say(
        "view_plan.storm.working",
        rate=rate_told,
        made=known.whole(made, "g"),
        rise=known.show(two_digits(rise), "ppm"),
        volume=known.show(volume, "m³"),
    )
    hours = _STRONG_HOURS
    if rise > _STRONG_RISE_PPM:
        hours = max(round(_STRONG_RISE_PPM * volume / rate), 1)
        working = say("view_plan.storm.too_much", limit=known.show(_STRONG_RISE_PPM, "ppm"), working=working)
    text = say(f"view_plan.storm.{key}.{case.reader}", hours=known.show(hours, "h"))
    return Amount(text, working, care=say("view_plan.storm.care"))


def _heavily_used(case: JobCase) -> bool:
    """Whether an answer says that the pool had much more use, or a storm."""
    readings = case.judged.job.readings.items()
    return any(check.meaning(reading.value) == "heavy_use" for name, reading in readings if (check := case.check(name)))


def _cold(case: JobCase, known: KnownReadings) -> Amount:
    """What to do as the water cools: less output, no salt on a low reading, and hand dosing below the limit."""
    text = say(f"view_plan.cold.text.{case.reader}", limit=known.show(known.unit.values["lockout"], "°C"))
    frost = say(f"view_plan.cold.frost.{case.reader}")
    volume, hours = known.numbers.get("pool_volume"), known.numbers.get("run_hours")
    current = _less_current(known)
    if not volume or not hours:
        asked = (("volume", volume), ("hours", hours))
        lacks = joined(say(f"view_amounts.missing.{name}") for name, value in asked if not value)
        return Amount(text, current, (say("view_amounts.missing.for_a_setting", missing=lacks),), frost)
    rate, rate_told = _rate(known)
    need = chlorine_need_g_day(volume, ordinary_demand_ppm_day(_COLD_C))
    try:
        setting = 5 * -(-output_percent(need, rate, hours) // 5)
    except RangeError:
        return Amount(text, say("view_amounts.no_setting"), care=frost)
    at = say("view_plan.cold.setting", percent=f"{setting:.0f}")
    working = say(
        "view_plan.cold.working",
        cold=known.show(_COLD_C, "°C"),
        setting=at if setting <= 100 else say("view_plan.cold.full_output"),
        hours=known.show(hours, "h"),
        volume=known.show(volume, "m³"),
        need=known.whole(need, "g"),
        rate=rate_told,
    )
    return Amount(
        text, say("view_plan.cold.both", working=working, current=current) if current else working, care=frost
    )


def _less_current(known: KnownReadings) -> str:
    """How much less current the same salt gives in cool water, so that it is not taken for a fault."""
    salt = known.numbers.get("tested_salt")
    warm = known.unit.values["rated.temperature"]
    if salt is None or not 500 <= salt <= 42_000:
        return ""
    cool = cell_current_a(100.0, salt / 1000, min(warm, 35.0), salt / 1000, _COLD_C)
    return say("view_plan.cold.less_current", percent=f"{100 - cool:.0f}", warm=known.show(warm, "°C"))


def _wear(case: JobCase, renewed: Mapping[Renewed, str], known: KnownReadings) -> Amount:
    """When half of such cells, and one in ten, are worn out: from age, hours, setting and the profile's life."""
    age = 0.0 if "cell" in renewed else known.numbers.get("cell_age_years")
    if age is None:
        return Amount(say("view_amounts.not_yet"), missing=(say("view_amounts.missing.cell_age"),))
    day_h, usual = _production(known)
    if day_h < _LEAST_H:
        return Amount(say("view_amounts.not_yet"), missing=(say("view_amounts.missing.hours_and_setting"),))
    year_h = production_hours(1.0, day_h, 100.0)
    life_h = known.unit.values["electrode_hours"]
    run_h = age * year_h
    early, middle = (further_life_h(run_h, failed, _WEAR_SHAPE, life_h) / year_h for failed in (0.1, 0.5))
    months = say("view_plan.wear.months_of_use", number=round(12 * SEASON_SHARE))
    key = "from_age" if age else "from_new"
    if case.job.unit_assumed:
        key += "_usual"
    working = say(
        f"view_plan.wear.{key}",
        age=known.show(age, "years"),
        hours=known.show(day_h, "h"),
        run=f"{two_digits(run_h):.0f} h",
        life=f"{life_h:.0f} h",
        usual=joined([*usual, months]),
    )
    return Amount(_life_told(case, middle, early), working)


def _life_told(case: JobCase, middle: float, early: float) -> str:
    """Years in which half of such cells and one in ten wear out, with the year itself where the sheet bears a date."""
    when = date_after(case.date, round(middle * _DAYS_A_YEAR))
    spans = {"half": _years(case, middle), "tenth": _years(case, early)}
    return say("view_plan.wear.text_dated", year=when[:4], **spans) if when else say("view_plan.wear.text", **spans)


def _production(known: KnownReadings) -> tuple[float, list[str]]:
    """Hours a day in which the cell makes chlorine, and what of it was taken as usual; 0 where nobody can say."""
    taken = []
    day_h, share = known.numbers.get("run_hours"), known.numbers.get("output_setting")
    if day_h is None:
        day_h = known.usual("chlorine_balance", "run_hours") or 0.0
        taken.append(say("view_plan.wear.hours_a_day", hours=known.show(day_h, "h")))
    if share is None:
        share = known.usual("chlorine_balance", "output_setting") or 0.0
        taken.append(say("view_plan.wear.output", setting=known.show(share, "%")))
    return min(day_h, 24.0) * min(share, 100.0) / 100.0, taken


def _years(case: JobCase, years: float) -> str:
    if years < 2:
        return case.show(max(round(years * 12), 1), "months")
    return case.show(round(years), "years")

"""The maintenance plan that closes a sheet, in words: cleaning, strong chlorine, the cold season, and wear."""

from __future__ import annotations

from collections.abc import Sequence

from engine.foundation.texts import say
from engine.quantities.quantity import figure
from engine.treatment.amounts import NotYet, Outside
from engine.treatment.maintenance import (
    COLD_C,
    STRONG_RISE_PPM,
    CellWear,
    CleaningPlan,
    ColdSeason,
    StrongDay,
    maintenance,
    months_of_use,
)
from engine.treatment.order_of_work import LaidOut
from reports.phrases import date_after, day_in_words, joined
from reports.view.amounts import none_told
from reports.view.case import JobCase
from reports.view.known import KnownReadings, two_digits
from reports.view.lacks import lacks_told
from reports.view.model import Amount, PlanLine

_DAYS_A_MONTH = 30.44
_DAYS_A_YEAR = 365.25


def maintenance_plan(
    case: JobCase, laid_out: Sequence[LaidOut], known: KnownReadings, adds_none: bool
) -> tuple[PlanLine, ...]:
    """What keeps the unit going, worked out for this pool; each line says what it lacks where it cannot be.

    Args:
        case: the job.
        laid_out: the repairs on the sheet; what they renew counts from them.
        known: the readings of the job; those taken after a repair stand in for older ones.
        adds_none: whether nothing is told by which chlorine is added: no strong day, no cold season by hand.
    """
    plan = maintenance(case, laid_out[0].repair if laid_out else None, known)
    if plan is None:
        return ()
    if isinstance(plan, tuple):
        nothing = Amount(say("view_amounts.not_yet"), missing=lacks_told(plan, known))
        return (PlanLine(say(f"view_plan.lines.whole.{case.reader}"), nothing),)
    lines = {"cleaning": _cleaning(case, plan.cleaning, known)}
    if not adds_none:
        lines |= {"storm": _strong(case, plan.strong, known), "cold": _cold(case, plan.cold, known)}
    lines["wear"] = _wear(case, plan.wear, known)
    return tuple(PlanLine(say(f"view_plan.lines.{line}.{case.reader}"), amount) for line, amount in lines.items())


def _cleaning(case: JobCase, plan: CleaningPlan | NotYet | Outside, known: KnownReadings) -> Amount:
    if not isinstance(plan, CleaningPlan):
        none = none_told(plan, known)
        return Amount(none.text, none.working, none.missing, say(f"view_plan.cleaning.look.quarterly.{case.reader}"))
    look = say(f"view_plan.cleaning.look.{'each_time' if plan.each_time else 'quarterly'}.{case.reader}")
    every = say("view_plan.cleaning.every", span=known.show(plan.months, "months"))
    if plan.months == 1:
        every = say("view_plan.cleaning.monthly")
    by = _interval_by(plan, known)
    working = say("view_plan.cleaning.working", by=by)
    if plan.since == "unknown":
        return Amount(every, working, lacks_told(("last_clean",), known), look)
    key = "planned" if plan.since == "planned" else "then"
    text = say(f"view_plan.cleaning.{key}", every=every, next=_next(case, plan.due_in_months))
    if plan.since == "done":
        working = say("view_plan.cleaning.working_new", by=by)
    elif plan.since == "last":
        working = say("view_plan.cleaning.working_ago", by=by, span=known.show(plan.months_ago, "months"))
    return Amount(text, working, care=look)


def _interval_by(plan: CleaningPlan, known: KnownReadings) -> str:
    """What the interval of cleaning was told from."""
    hardness = known.show(plan.hardness_ppm, "ppm")
    if plan.index is not None:
        return say("view_plan.cleaning.by.index", hardness=hardness, index=figure(plan.index, "+.1f"))
    if plan.untested:
        tests = joined(say(f"view_plan.tests.{check}") for check in plan.untested)
        return say("view_plan.cleaning.by.untested", hardness=hardness, tests=tests)
    return say("view_plan.cleaning.by.hardness", hardness=hardness)


def _next(case: JobCase, months: float) -> str:
    if months <= 0:
        return say("view_plan.cleaning.next.due")
    when = date_after(case.date, round(months * _DAYS_A_MONTH))
    if when:
        return say("view_plan.cleaning.next.dated", date=day_in_words(when))
    return say("view_plan.cleaning.next.later", span=case.show(months, "months"))


def _rate(rate: float, assumed: bool, known: KnownReadings) -> str:
    """Chlorine at full output, which says where it is the profile's and not the label's."""
    shown = known.show(rate, "g/h")
    return say("view_plan.usual_rate", rate=shown) if assumed else shown


def _strong(case: JobCase, plan: StrongDay, known: KnownReadings) -> Amount:
    """A day at full output, or fewer hours where a large unit would overshoot in a small pool."""
    key = "text_due" if plan.due else "text"
    text = say(f"view_plan.storm.{key}.{case.reader}", hours=known.show(plan.hours, "h"))
    if plan.volume_m3 is None or plan.made_g is None or plan.rise_ppm is None:
        lacking = say("view_amounts.missing.for_the_rise", missing=joined(lacks_told(plan.missing, known)))
        return Amount(text, missing=(lacking,))
    working = say(
        "view_plan.storm.working",
        rate=_rate(plan.rate_g_h, plan.rate_assumed, known),
        made=known.whole(plan.made_g, "g"),
        rise=known.show(two_digits(plan.rise_ppm), "ppm"),
        volume=known.show(plan.volume_m3, "m³"),
    )
    if plan.too_much:
        working = say("view_plan.storm.too_much", limit=known.show(STRONG_RISE_PPM, "ppm"), working=working)
    return Amount(text, working, care=say("view_plan.storm.care"))


def _cold(case: JobCase, plan: ColdSeason, known: KnownReadings) -> Amount:
    """What to do as the water cools: less output, no salt on a low reading, and hand dosing below the limit."""
    text = say(f"view_plan.cold.text.{case.reader}", limit=known.show(plan.lockout_c, "°C"))
    frost = say(f"view_plan.cold.frost.{case.reader}")
    current = _less_current(plan, known)
    if plan.missing:
        lacks = joined(lacks_told(plan.missing, known))
        return Amount(text, current, (say("view_amounts.missing.for_a_setting", missing=lacks),), frost)
    if plan.outside or plan.setting is None:
        return Amount(text, say("view_amounts.no_setting"), care=frost)
    at = say("view_plan.cold.setting", percent=f"{plan.setting:.0f}")
    working = say(
        "view_plan.cold.working",
        cold=known.show(COLD_C, "°C"),
        setting=at if plan.setting <= 100 else say("view_plan.cold.full_output"),
        hours=known.show(plan.hours, "h"),
        volume=known.show(plan.volume_m3, "m³"),
        need=known.whole(plan.need_g, "g"),
        rate=_rate(plan.rate_g_h, plan.rate_assumed, known),
    )
    both = say("view_plan.cold.both", working=working, current=current) if current else working
    return Amount(text, both, care=frost)


def _less_current(plan: ColdSeason, known: KnownReadings) -> str:
    """How much less current the same salt gives in cool water, so that it is not taken for a fault."""
    if plan.less_current_percent is None:
        return ""
    warm = known.show(known.unit.values["rated.temperature"], "°C")
    return say("view_plan.cold.less_current", percent=f"{plan.less_current_percent:.0f}", warm=warm)


def _wear(case: JobCase, plan: CellWear | NotYet, known: KnownReadings) -> Amount:
    """When half of such cells, and one in ten, are worn out."""
    if isinstance(plan, NotYet):
        return none_told(plan, known)
    usual = [say("view_plan.wear.months_of_use", number=months_of_use())]
    if plan.setting_assumed is not None:
        usual.insert(0, say("view_plan.wear.output", setting=known.show(plan.setting_assumed, "%")))
    if plan.hours_assumed is not None:
        usual.insert(0, say("view_plan.wear.hours_a_day", hours=known.show(plan.hours_assumed, "h")))
    key = "from_age" if plan.age_years else "from_new"
    if plan.life_assumed:
        key += "_usual"
    working = say(
        f"view_plan.wear.{key}",
        age=known.show(plan.age_years, "years"),
        hours=known.show(plan.day_h, "h"),
        run=f"{two_digits(plan.run_h):.0f} h",
        life=f"{plan.life_h:.0f} h",
        usual=joined(usual),
    )
    return Amount(_life_told(case, plan), working)


def _life_told(case: JobCase, plan: CellWear) -> str:
    """Years in which half of such cells and one in ten wear out, with the year itself where the sheet bears a date."""
    when = date_after(case.date, round(plan.middle * _DAYS_A_YEAR))
    spans = {"half": _years(case, plan.middle), "tenth": _years(case, plan.early)}
    return say("view_plan.wear.text_dated", year=when[:4], **spans) if when else say("view_plan.wear.text", **spans)


def _years(case: JobCase, years: float) -> str:
    if years < 2:
        return case.show(max(round(years * 12), 1), "months")
    return case.show(round(years), "years")

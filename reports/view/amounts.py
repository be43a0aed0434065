"""How much of what: doses and settings worked out from the readings, or what is missing for them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from engine.chlorinator.cell import chlorine_need_g_day, full_output_hours, output_percent
from engine.chlorinator.disinfectant import hypochlorite_l
from engine.chlorinator.limits import RangeError
from engine.chlorinator.minerals import STABILISER, dose
from engine.chlorinator.water import drain_m3, salt_dose_kg
from engine.findings.chlorine_balance import ordinary_demand_ppm_day
from engine.foundation.texts import say
from engine.knowledge.model import PartNeed, Repair
from engine.knowledge.properties import PartAmount, PartComputation, Work
from reports.phrases import amount_in_words
from reports.view.acidwork import acid_for_ph, acid_mix_amounts, bicarbonate
from reports.view.known import USUAL_WATER_C, KnownReadings
from reports.view.model import Amount

_LIQUID_STRENGTH_PERCENT = 12.0
"""The liquid chlorine that a dose is told for as an example; about 12 % is usual in the trade: common practice."""
_STRONG_DOSE_PPM = 10.0
"""Least rise for a superchlorination, and ten times the combined chlorine: common practice, no source."""
_STABILISER_PER_CHLORINE = 20.0
"""Cyanuric acid to free chlorine at most; what works of the chlorine goes by this ratio."""
_SIZED_AT = 2.0 / 3.0
"""Share of full output at which a new unit should carry an ordinary week: common practice, no source."""
_SPARING_SETTING = 0.75
"""Hours are told for this setting, so that a hot week still finds something to raise: common practice."""


def part_amount(need: PartNeed, repair: Repair, known: KnownReadings) -> Amount:
    """How much of a part a repair takes: as written, or worked out where the knowledge names a computation."""
    if need.amount.computed is None:
        return Amount(_as_written(need.amount, known))
    try:
        return _PARTS[need.amount.computed](repair, known)
    except RangeError:
        return Amount(say("view_amounts.not_worked_out"), say("view_amounts.no_dose"))


def work_amounts(repair: Repair, known: KnownReadings) -> tuple[Amount, ...]:
    """Amounts of a repair that are not of a part: water to swap, settings to make, mixes."""
    try:
        return tuple(amount for work in repair.works_out for amount in _WORK[work](repair, known))
    except RangeError:
        return (Amount(say("view_amounts.not_worked_out"), say("view_amounts.no_answer")),)


def chlorine_range(known: KnownReadings) -> tuple[float, float] | None:
    """Free chlorine that counts as it should be, ppm, by the bands of the chlorine test."""
    return next((known.should_be(check) for check in known.knowledge.checks_telling("free_chlorine")), None)


def chlorine_for_stabiliser_ppm(known: KnownReadings) -> float | None:
    """Free chlorine that the stabiliser as tested asks for, ppm, in steps of a half.

    None where it was not tested, or asks for no more than the middle of the usual range.

    Source: cyanuric acid to free chlorine at most 20 to 1, Falk and others, Water 11 (2019) 1314 (from memory).
    """
    between, stabiliser = chlorine_range(known), known.numbers.get("stabiliser")
    if between is None or stabiliser is None:
        return None
    needed = math.ceil(2 * stabiliser / _STABILISER_PER_CHLORINE) / 2
    return needed if needed > sum(between) / 2 else None


def nothing_needed(amount: Amount) -> bool:
    """Whether an amount says that none of the product is needed."""
    return amount.text == say("view_amounts.none")


def hand_dose(known: KnownReadings) -> Amount:
    """Chlorine by hand that brings the pool to the middle of its range, or what each ppm takes.

    Much stabiliser asks for more, as far as the range goes.
    """
    between = chlorine_range(known)
    now = known.told("free_chlorine", "owners_free_chlorine")
    if between is None or now is None:
        return _chlorine(known, 1.0, say("view_amounts.chlorine.purpose.by_one", rise=known.show(1.0, "ppm")))
    target = min(chlorine_for_stabiliser_ppm(known) or sum(between) / 2, between[1])
    rise = target - now
    shown = known.show(now, "ppm")
    if rise <= 0:
        return Amount(say("view_amounts.none"), say("view_amounts.shown", now=shown))
    purpose = say("view_amounts.chlorine.purpose.from_to", now=shown, target=known.show(now + rise, "ppm"))
    return _chlorine(known, rise, purpose)


def _as_written(amount: PartAmount, known: KnownReadings) -> str:
    """An amount of the knowledge, such as `0.2 L` or `2`, in the reader's units."""
    if not amount.unit or known.units == "metric":
        return amount_in_words(amount)
    # Cleaning acid and the like stand in litres: a reader never gets more than is written.
    return known.poured_down(amount.value) if amount.unit == "L" else known.show(amount.value, amount.unit)


def _volume_missing(known: KnownReadings) -> tuple[str, ...]:
    return () if known.numbers.get("pool_volume") else (say("view_amounts.missing.volume"),)


def _chlorine(known: KnownReadings, rise_ppm: float, purpose: str) -> Amount:
    """Liquid chlorine for a rise, told for one strength."""
    volume = known.numbers.get("pool_volume")
    strength = known.show(_LIQUID_STRENGTH_PERCENT, "%")
    if not volume:
        each, named = known.each_volume
        dose = known.poured(hypochlorite_l(each, rise_ppm, _LIQUID_STRENGTH_PERCENT))
        text = say("view_amounts.chlorine.each", dose=dose, strength=strength, volume=named)
        return Amount(text, say("view_amounts.chlorine.working", purpose=purpose), _volume_missing(known))
    dose = known.poured(hypochlorite_l(volume, rise_ppm, _LIQUID_STRENGTH_PERCENT))
    text = say("view_amounts.chlorine.in_pool", dose=dose, strength=strength)
    return Amount(text, say("view_amounts.chlorine.working_in", purpose=purpose, volume=known.show(volume, "m³")))


def _salt(_: Repair, known: KnownReadings) -> Amount:
    now, volume = known.numbers.get("tested_salt"), known.numbers.get("pool_volume")
    target = known.unit.values["salt.ideal"]
    if now is None:
        return Amount(say("view_amounts.not_yet"), missing=(say("view_amounts.missing.salt"), *_volume_missing(known)))
    span = {"now": known.show(now, "ppm"), "target": known.show(target, "ppm")}
    if now >= target:
        return Amount(say("view_amounts.none"), say("view_amounts.enough", **span))
    if volume is None:
        each, named = known.small_volume
        dose = known.show(salt_dose_kg(each, now, target), "kg")
        text = say("view_amounts.salt.each", dose=dose, volume=named)
        return Amount(text, say("view_amounts.from_to", **span), _volume_missing(known))
    dose_kg = salt_dose_kg(volume, now, target)
    figures = {**span, "volume": known.show(volume, "m³"), "rise": known.show(target - now, "ppm")}
    in_us = known.units == "us"
    working = say("view_amounts.salt.working_us" if in_us else "view_amounts.salt.working", **figures)
    first = known.whole(dose_kg * 2 / 3, "kg")
    return Amount(
        say("view_amounts.salt.dose", dose=known.whole(dose_kg, "kg"), first=first),
        working,
        care=say("view_amounts.salt.care"),
    )


def _stabiliser(_: Repair, known: KnownReadings) -> Amount:
    now, volume = known.numbers.get("stabiliser"), known.numbers.get("pool_volume")
    check = known.knowledge.checks.get("stabiliser")
    right = None if check is None else known.should_be(check)
    if now is None or right is None or check is None:
        missing = (say("view_amounts.missing.stabiliser"), *_volume_missing(known))
        return Amount(say("view_amounts.not_yet"), missing=missing)
    target = right[0] + known.two_errors(check, right[0])
    span = {"now": known.show(now, "ppm"), "target": known.show(target, "ppm")}
    if now >= target:
        return Amount(say("view_amounts.none"), say("view_amounts.enough", **span))
    if volume is None:
        each, named = known.small_volume
        needed = known.show(dose(STABILISER, each, target - now) * 1000, "g")
        text = say("view_amounts.stabiliser.each", dose=needed, volume=named)
        return Amount(text, say("view_amounts.from_to", **span), _volume_missing(known))
    return Amount(
        say("view_amounts.stabiliser.dose", dose=known.show(dose(STABILISER, volume, target - now), "kg")),
        say("view_amounts.from_to_in", volume=known.show(volume, "m³"), **span),
        care=say("view_amounts.stabiliser.care"),
    )


def _chlorine_by_hand(_: Repair, known: KnownReadings) -> Amount:
    return hand_dose(known)


def _strong_chlorine(_: Repair, known: KnownReadings) -> Amount:
    rise = max(_STRONG_DOSE_PPM, 10.0 * (known.told("combined_chlorine") or 0.0))
    dose = _chlorine(known, rise, say("view_amounts.chlorine.purpose.strong", rise=known.show(rise, "ppm")))
    return Amount(dose.text, dose.working, dose.missing, say("view_amounts.chlorine.strong_care"))


def _water_to_swap(_: Repair, known: KnownReadings) -> tuple[Amount, ...]:
    """Share of the water to let out and fill afresh, for what there is too much of."""
    found = []
    for check, target in (("tested_salt", known.unit.values["salt.ideal"]), ("stabiliser", None)):
        now, item = known.numbers.get(check), known.knowledge.checks.get(check)
        limits = None if item is None else known.should_be(item)
        if now is None or item is None or limits is None or now <= limits[1]:
            continue
        wanted = limits[1] - known.two_errors(item, limits[1]) if target is None else target
        found.append((drain_m3(1.0, now, wanted), check, now, wanted))
    if not found:
        return (Amount(say("view_amounts.swap.not_yet"), missing=(say("view_amounts.missing.too_high"),)),)
    share, check, now, wanted = max(found)
    volume = known.numbers.get("pool_volume")
    percent = round(100 * share)
    text = say("view_amounts.swap.share", share=percent)
    if volume:
        part, total = known.whole(share * volume, "m³"), known.show(volume, "m³")
        text = say("view_amounts.swap.share_of", share=percent, part=part, volume=total)
    working = say(
        "view_amounts.swap.working",
        test=known.knowledge.checks[check].wording.technician,
        now=known.show(now, "ppm"),
        target=known.show(wanted, "ppm"),
    )
    return (Amount(text, working, _volume_missing(known), say("view_amounts.swap.care")),)


def _size_lacks(known: KnownReadings) -> tuple[str, ...]:
    hours = () if known.numbers.get("run_hours") else (say("view_amounts.missing.hours"),)
    return (*_volume_missing(known), *hours)


def _output(_: Repair, known: KnownReadings) -> tuple[Amount, ...]:
    """Setting and hours that carry an ordinary pool of this size."""
    numbers = known.numbers
    volume, hours = numbers.get("pool_volume"), numbers.get("run_hours")
    rate = numbers.get("rated_output", known.unit.values["rated.chlorine"])
    label = say("view_amounts.missing.label", rate=known.show(rate, "g/h"))
    rate_missing = () if "rated_output" in numbers else (label,)
    if not volume or not hours:
        return (Amount(say("view_amounts.not_yet"), missing=(*_size_lacks(known), *rate_missing)),)
    warmth = known.water_c if known.water_c is not None else USUAL_WATER_C
    need = chlorine_need_g_day(volume, ordinary_demand_ppm_day(warmth))
    working = say(
        "view_amounts.output.working",
        volume=known.show(volume, "m³"),
        warmth=known.show(warmth, "°C"),
        need=known.whole(need, "g"),
        rate=known.show(rate, "g/h"),
    )
    text = _setting_told(known, output_percent(need, rate, hours), full_output_hours(need, rate), hours)
    return (Amount(text, working, rate_missing, say("view_amounts.output.care")),)


def _setting_told(known: KnownReadings, setting: float, full: float, hours: float) -> str:
    """A setting in steps of five per cent, or hours where the pump's own do not suffice, `full` at full output."""
    if full > 24:
        return say("view_amounts.output.too_much")
    if setting <= 100:
        percent = min(100, 5 * math.ceil(setting / 5))
        return say("view_amounts.output.setting", setting=percent, hours=known.show(hours, "h"))
    spare = math.ceil(full / _SPARING_SETTING)
    if spare <= 24:
        return say("view_amounts.output.spare", hours=known.show(spare, "h"))
    return say("view_amounts.output.full", hours=known.show(math.ceil(full), "h"))


def _size(_: Repair, known: KnownReadings) -> tuple[Amount, ...]:
    """Output that a larger unit needs, so that an ordinary week is carried with room to spare."""
    volume, hours = known.numbers.get("pool_volume"), known.numbers.get("run_hours")
    if not volume or not hours:
        return (Amount(say("view_amounts.size.not_yet"), missing=_size_lacks(known)),)
    warmth = max(known.water_c if known.water_c is not None else USUAL_WATER_C, USUAL_WATER_C)
    need = chlorine_need_g_day(volume, ordinary_demand_ppm_day(warmth))
    rate = need / min(hours, 24.0) / _SIZED_AT
    working = say(
        "view_amounts.size.working",
        volume=known.show(volume, "m³"),
        warmth=known.show(warmth, "°C"),
        need=known.whole(need, "g"),
        hours=known.show(hours, "h"),
    )
    return (Amount(say("view_amounts.size.unit", rate=known.whole(rate, "g/h")), working),)


_PARTS: Mapping[PartComputation, Callable[[Repair, KnownReadings], Amount]] = {
    "salt_dose": _salt,
    "stabiliser_dose": _stabiliser,
    "hand_chlorine": _chlorine_by_hand,
    "strong_chlorine": _strong_chlorine,
    "acid_neutraliser": bicarbonate,
}
_WORK: Mapping[Work, Callable[[Repair, KnownReadings], tuple[Amount, ...]]] = {
    "water_to_swap": _water_to_swap,
    "setting": _output,
    "unit_size": _size,
    "acid_mix": acid_mix_amounts,
    "acid_for_ph": acid_for_ph,
}

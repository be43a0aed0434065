"""Doses and settings in words: how much of what, how it was worked out, or what is missing for it."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import cast

from engine.chlorinator.balance import index_verdict
from engine.foundation.texts import say
from engine.knowledge.model import PartNeed, Repair
from engine.knowledge.properties import PartAmount
from engine.quantities.quantity import figure
from engine.treatment.acid import CleaningMix, Neutraliser, PhDose
from engine.treatment.amounts import Enough, NotYet, Outside, Sort, volume_lack
from engine.treatment.chlorine import LIQUID_STRENGTH_PERCENT, ChlorineDose, ChlorineOut, WaterFirst, hand_dose
from engine.treatment.doses import PartDose, Side, WorkDose, dose_to_put_right, part_dose, work_doses
from engine.treatment.minerals import MineralDose, SaltDose, WaterSwap
from engine.treatment.output import Setting, UnitSize
from engine.treatment.output import setting as setting_for
from engine.treatment.soda_ash import PhLift
from engine.treatment.water_balance import Balance
from reports.phrases import amount_in_words
from reports.view.acidwork import mix_told, neutraliser_told, ph_dose_told, ph_lift_told
from reports.view.known import KnownReadings, two_digits
from reports.view.lacks import lacks_told
from reports.view.model import Amount


def part_amount(need: PartNeed, repair: Repair, known: KnownReadings) -> Amount:
    """How much of a part a repair takes: as written, or worked out where the knowledge names a computation."""
    return _part_told(part_dose(need, repair, known), known)


def work_amounts(repair: Repair, known: KnownReadings, *, indexed: bool = True) -> tuple[Amount, ...]:
    """Amounts of a repair that are not of a part: water to swap, settings to make, mixes.

    Args:
        repair: the repair.
        known: the readings.
        indexed: whether the calcite index is told among them, a figure of the water and nothing to measure out.
    """
    doses = work_doses(repair, known)
    return tuple(
        _work_told(dose, known)
        for dose in doses
        if indexed or not (isinstance(dose, Balance) or (isinstance(dose, NotYet) and dose.of == "balance"))
    )


def amount_to_put_right(check: str, side: Side, known: KnownReadings) -> Amount | None:
    """How much puts a test right that is not as it should be; None where there is no dose for it.

    Args: the id of the check, on which side of its range it lies, and the readings.
    """
    dose = dose_to_put_right(check, side, known)
    if dose is None:
        return None
    return _work_told(dose, known) if isinstance(dose, WaterSwap) else _part_told(cast(PartDose, dose), known)


def hand_amount(known: KnownReadings) -> Amount:
    """Chlorine by hand meanwhile, or that none is needed."""
    return _part_told(hand_dose(known), known)


def _part_told(dose: PartDose, known: KnownReadings) -> Amount:
    if isinstance(dose, PartAmount):
        return Amount(_as_written(dose, known))
    if isinstance(dose, SaltDose):
        return _salt(dose, known)
    if isinstance(dose, MineralDose):
        return _mineral(dose, known)
    if isinstance(dose, PhDose):
        return ph_dose_told(dose, known)
    if isinstance(dose, PhLift):
        return ph_lift_told(dose, known)
    if isinstance(dose, ChlorineDose):
        return _chlorine(dose, known)
    if isinstance(dose, WaterFirst):
        return _water_first(dose, known)
    if isinstance(dose, Neutraliser):
        return neutraliser_told(dose, known)
    return _enough(dose, known) if isinstance(dose, Enough) else none_told(dose, known)


def _work_told(dose: WorkDose, known: KnownReadings) -> Amount:
    if isinstance(dose, WaterSwap):
        return _swap(dose, known)
    if isinstance(dose, Setting):
        return _setting(dose, known)
    if isinstance(dose, UnitSize):
        return _size(dose, known)
    if isinstance(dose, CleaningMix):
        return mix_told(dose, known)
    if isinstance(dose, Balance):
        return _balance(dose, known)
    if isinstance(dose, ChlorineOut):
        return _chlorine_out(dose, known)
    return ph_dose_told(dose, known) if isinstance(dose, PhDose) else none_told(dose, known)


def none_told(dose: NotYet | Outside, known: KnownReadings) -> Amount:
    """Why there is no amount."""
    if isinstance(dose, NotYet):
        return Amount(_not_yet(dose.of), missing=lacks_told(dose.missing, known))
    if dose.of == "ph":
        return Amount(say("view_amounts.acid.not_worked_out"), say("view_amounts.no_dose"))
    why = say("view_amounts.no_answer" if dose.of == "answer" else "view_amounts.no_dose")
    return Amount(say("view_amounts.not_worked_out"), why)


def _not_yet(of: Sort) -> str:
    if of == "swap":
        return say("view_amounts.swap.not_yet")
    if of == "size":
        return say("view_amounts.size.not_yet")
    if of in ("balance", "chlorine_out", "soda_ash"):
        return say(f"view_amounts.{of}.not_yet")
    if of == "mix":
        return say("view_amounts.mix.not_worked_out")
    return say("view_amounts.acid.not_yet" if of == "ph" else "view_amounts.not_yet")


def _enough(dose: Enough, known: KnownReadings) -> Amount:
    now = known.show(dose.now, dose.unit)
    if dose.target is None:
        return Amount(say("view_amounts.none"), say("view_amounts.shown", now=now))
    enough = say("view_amounts.enough", now=now, target=known.show(dose.target, dose.unit))
    return Amount(say("view_amounts.none"), enough)


def _as_written(amount: PartAmount, known: KnownReadings) -> str:
    """An amount of the knowledge, such as `0.2 L` or `2`, in the reader's units."""
    if not amount.unit or known.units == "metric":
        return amount_in_words(amount, "metric")
    # Cleaning acid and the like stand in litres: a reader never gets more than is written.
    return known.poured_down(amount.value) if amount.unit == "L" else known.show(amount.value, amount.unit)


def _chlorine(dose: ChlorineDose, known: KnownReadings) -> Amount:
    """Liquid chlorine for a rise, told for one strength."""
    rise, strength = known.show(dose.rise_ppm, "ppm"), known.show(LIQUID_STRENGTH_PERCENT, "%")
    purpose = say("view_amounts.chlorine.purpose.by_one", rise=rise)
    if dose.wanted_ppm is not None:
        purpose = say("view_amounts.chlorine.purpose.strong", rise=rise)
    elif dose.now_ppm is not None:
        purpose = _from_to(dose, dose.now_ppm, known)
    care = _strong_care(dose, known)
    if not dose.volume_m3:
        each, named = known.each_volume
        poured = known.poured(dose.litres(each))
        text = say("view_amounts.chlorine.each", dose=poured, strength=strength, volume=named)
        working = say("view_amounts.chlorine.working", purpose=purpose)
        return Amount(text, working, lacks_told(volume_lack(known), known), care)
    volume, poured = known.show(dose.volume_m3, "m³"), known.poured(dose.litres(dose.volume_m3))
    text = say("view_amounts.chlorine.in_pool", dose=poured, strength=strength)
    if dose.wanted_ppm is not None:
        text = say("view_amounts.chlorine.strong", dose=poured, strength=strength, volume=volume, rise=rise)
    return Amount(text, say("view_amounts.chlorine.working_in", purpose=purpose, volume=volume), care=care)


def _from_to(dose: ChlorineDose, now_ppm: float, known: KnownReadings) -> str:
    """From where to where a dose brings the test, and what one ppm takes, as tests differ from day to day."""
    now, target = known.show(now_ppm, "ppm"), known.show(now_ppm + dose.rise_ppm, "ppm")
    one = replace(dose, rise_ppm=1.0).litres(dose.volume_m3 or known.each_volume[0])
    span = {"now": now, "target": target, "one": known.poured(one), "step": known.show(1.0, "ppm")}
    return say("view_amounts.chlorine.purpose.from_to", **span)


def _strong_care(dose: ChlorineDose, known: KnownReadings) -> str:
    """Where the rest of a strong dose is that does not go in at once; nothing for another dose."""
    if dose.wanted_ppm is None or dose.wanted_ppm <= dose.rise_ppm:
        return ""
    wanted, rise = known.show(dose.wanted_ppm, "ppm"), known.show(dose.rise_ppm, "ppm")
    return say("view_amounts.chlorine.strong_care_rest", wanted=wanted, rise=rise)


def _water_first(dose: WaterFirst, known: KnownReadings) -> Amount:
    """Why no strong dose is told yet, and how much water goes before it."""
    share = f"{100 * known.knowledge.limits.swap_at_once:.0f}"
    figures = {"now": known.show(dose.tested_ppm, "ppm"), "limit": known.show(dose.limit_ppm, "ppm"), "share": share}
    working = say(f"view_amounts.chlorine.water_first.{dose.of}", **figures)
    missing = lacks_told(("test_after_swap", *volume_lack(known)), known)
    return Amount(say("view_amounts.chlorine.not_yet"), working, missing, say("view_amounts.swap.care", share=share))


def _salt(dose: SaltDose, known: KnownReadings) -> Amount:
    span = {"now": known.show(dose.now_ppm, "ppm"), "target": known.show(dose.target_ppm, "ppm")}
    if dose.volume_m3 is None:
        each, named = known.small_volume
        text = say("view_amounts.salt.each", dose=known.show(dose.kg(each), "kg"), volume=named)
        return Amount(text, say("view_amounts.from_to", **span), lacks_told(volume_lack(known), known))
    rise = known.show(dose.target_ppm - dose.now_ppm, "ppm")
    figures = {**span, "volume": known.show(dose.volume_m3, "m³"), "rise": rise}
    in_us = known.units == "us"
    working = say("view_amounts.salt.working_us" if in_us else "view_amounts.salt.working", **figures)
    whole, first = (known.whole(kg, "kg") for kg in (dose.kg(dose.volume_m3), dose.first_kg(dose.volume_m3)))
    care = say("view_amounts.salt.care", **span)
    return Amount(say("view_amounts.salt.dose", dose=whole, first=first), working, care=care)


def _mineral(dose: MineralDose, known: KnownReadings) -> Amount:
    span = {"now": known.show(dose.now_ppm, "ppm"), "target": known.show(dose.target_ppm, "ppm")}
    if dose.volume_m3 is None:
        each, named = known.small_volume
        text = say("view_amounts.mineral.each", dose=known.show(dose.kg(each) * 1000, "g"), volume=named)
        return Amount(text, say("view_amounts.from_to", **span), lacks_told(volume_lack(known), known))
    return Amount(
        say("view_amounts.mineral.dose", dose=known.show(dose.kg(dose.volume_m3), "kg")),
        say("view_amounts.from_to_in", volume=known.show(dose.volume_m3, "m³"), **span),
        care=say(f"view_amounts.mineral.care.{dose.mineral}"),
    )


def _balance(found: Balance, known: KnownReadings) -> Amount:
    """The calcite index, the pH at which it would be 0, and what it was worked out from."""
    tests = {
        "hardness": found.water.hardness_ppm,
        "alkalinity": found.water.alkalinity_ppm,
        "salt": found.water.salt_ppm,
    }
    shown = {name: known.show(value, "ppm") for name, value in tests.items()}
    warmth = known.show(found.water.temperature_c, "°C")
    verdict = say(f"view_amounts.balance.verdicts.{index_verdict(found.index)}")
    text = say("view_amounts.balance.index", index=figure(found.index, "+.1f"), verdict=verdict)
    if found.balanced_ph is None:
        working = say("view_amounts.balance.working_no_ph", warmth=warmth, **shown)
    else:
        working = say("view_amounts.balance.working", ph=figure(found.balanced_ph, ".1f"), warmth=warmth, **shown)
    return Amount(text, working, care=say("view_amounts.balance.care"))


def _chlorine_out(dose: ChlorineOut, known: KnownReadings) -> Amount:
    """Neutraliser for far too much chlorine, the least that can do it."""
    span = {"now": known.show(dose.now_ppm, "ppm"), "target": known.show(dose.target_ppm, "ppm")}
    grams, volume = known.show(two_digits(dose.grams), "g"), known.show(dose.volume_m3, "m³")
    text = say("view_amounts.chlorine_out.in_pool", dose=grams, volume=volume, **span)
    return Amount(text, say("view_amounts.from_to", **span), care=say("view_amounts.chlorine_out.care"))


def _swap(swap: WaterSwap, known: KnownReadings) -> Amount:
    percent, times = f"{100 * swap.swaps.each:.0f}", swap.swaps.times
    key, figures = "once" if times == 1 else "several", {"share": percent, "times": str(times)}
    text, missing = say(f"view_amounts.swap.{key}", **figures), lacks_told(volume_lack(known), known)
    if swap.volume_m3:
        part, total = known.whole(swap.swaps.each * swap.volume_m3, "m³"), known.show(swap.volume_m3, "m³")
        text, missing = say(f"view_amounts.swap.{key}_of", part=part, volume=total, **figures), ()
    working = say(
        f"view_amounts.swap.working.{key}",
        test=known.knowledge.checks[swap.check].wording.technician,
        now=known.show(swap.now, "ppm"),
        target=known.show(swap.target, "ppm"),
    )
    told = [say("view_amounts.swap.little")] if swap.of_salt else []
    told.append(say("view_amounts.swap.care", share=f"{100 * known.knowledge.limits.swap_at_once:.0f}"))
    if swap.fill_h is not None:
        told.append(say("view_amounts.swap.hours", hours=known.show(max(1, math.ceil(swap.fill_h)), "h")))
    if swap.salt_back is not None and swap.volume_m3:
        told.append(say("view_amounts.swap.salt", dose=known.whole(swap.salt_back.kg(swap.volume_m3), "kg")))
    return Amount(text, working, missing, " ".join(told))


def _setting(found: Setting, known: KnownReadings) -> Amount:
    setting = found if known.volume_m3 else setting_for(known, known.each_volume[0])
    working = say(
        "view_amounts.output.working",
        volume=known.show(setting.volume_m3, "m³"),
        warmth=known.show(setting.water_c, "°C"),
        need=known.whole(setting.need_g, "g"),
        rate=known.show(setting.rate_g_h, "g/h"),
    )
    text = _setting_told(setting, known)
    if not known.volume_m3:
        text = say("view_amounts.output.each", setting=text, volume=known.each_volume[1])
    return Amount(text, working, lacks_told(setting.lacks, known), say("view_amounts.output.care"))


def _setting_told(setting: Setting, known: KnownReadings) -> str:
    if setting.hours is None:
        return say("view_amounts.output.too_much")
    hours = known.show(setting.hours, "h")
    if setting.percent is None:
        return say("view_amounts.output.spare" if setting.sparing else "view_amounts.output.full", hours=hours)
    if setting.now_percent is None:
        return say("view_amounts.output.setting", setting=figure(setting.percent), hours=hours)
    now = figure(setting.now_percent)
    return say("view_amounts.output.from_to", now=now, setting=figure(setting.percent), hours=hours)


def _size(size: UnitSize, known: KnownReadings) -> Amount:
    working = say(
        "view_amounts.size.working",
        volume=known.show(size.volume_m3, "m³"),
        warmth=known.show(size.water_c, "°C"),
        need=known.whole(size.need_g, "g"),
        hours=known.show(size.hours, "h"),
    )
    return Amount(say("view_amounts.size.unit", rate=known.whole(size.rate_g_h, "g/h")), working)

"""Amounts for work with acid, in words: the cleaning mix, what neutralises it, and acid that brings the pH down."""

from __future__ import annotations

from engine.foundation.texts import say
from engine.quantities.quantity import show_number, show_quantity
from engine.quantities.unit_systems import in_system, round_to
from engine.quantities.units import convert
from engine.treatment.acid import ACID_STRENGTH_PERCENT, CleaningMix, Neutraliser, PhDose
from engine.treatment.amounts import volume_lack
from reports.phrases import joined
from reports.view.known import KnownReadings
from reports.view.lacks import lacks_told
from reports.view.model import Amount


def neutraliser_told(dose: Neutraliser, known: KnownReadings) -> Amount:
    """Bicarbonate that neutralises the cleaning acid of a repair, used to the full."""
    strength = known.show(ACID_STRENGTH_PERCENT, "%")
    acid = known.poured_down(dose.acid_l) if known.units == "us" else known.show(dose.acid_l, "L")
    return Amount(
        say("view_amounts.bicarbonate.dose", dose=known.whole(dose.grams, "g")),
        say("view_amounts.bicarbonate.working", acid=acid, strength=strength),
        care=say("view_amounts.bicarbonate.care"),
    )


def mix_told(mix: CleaningMix, known: KnownReadings) -> Amount:
    """The mix of water and acid that a cell is cleaned with."""
    water, acid, whole = _measures(mix.water_l, mix.acid_l, known)
    text = say("view_amounts.mix.text", water=water, acid=acid, mix=whole, percent=f"{mix.percent:.0f}")
    parts = f"{mix.parts:g}"
    working = say("view_amounts.mix.working", parts=parts, strength=known.show(ACID_STRENGTH_PERCENT, "%"))
    return Amount(text, working, care=say("view_amounts.mix.care", parts=parts))


def _measures(water_l: float, acid_l: float, known: KnownReadings) -> tuple[str, str, str]:
    """Water, acid and their sum as they are measured; where they have to be rounded, towards the weaker mix."""
    if known.units == "metric":
        return show_quantity(water_l, "L"), show_quantity(acid_l * 1000, "mL"), show_quantity(water_l + acid_l, "L")
    acid, unit = in_system(acid_l, "L", "us")
    acid = round_to(acid, 2, "down")
    water = round_to(convert(water_l, "L", unit), 2, "up")
    sizes = (water, acid, round_to(water + acid, 2))
    water_told, acid_told, mix_told = (f"{show_number(size, 6)} {unit}" for size in sizes)
    return water_told, acid_told, mix_told


def ph_dose_told(dose: PhDose, known: KnownReadings) -> Amount:
    """Acid for the pool's pH, and what was taken as usual for it."""
    water = dose.water
    size, named = (dose.volume_m3, known.show(dose.volume_m3, "m³")) if dose.volume_m3 else known.each_volume
    acid = dose.dose(size)
    figures = {
        "ph": known.show(water.ph, "pH"),
        "target": known.show(dose.target_ph, "pH"),
        "alkalinity": known.show(water.alkalinity_ppm, "ppm"),
        "stabiliser": known.show(water.cya_ppm, "ppm"),
        "after": known.whole(acid.alkalinity_after_ppm, "ppm"),
    }
    usual = {
        "water_temp": known.show(water.temperature_c, "°C"),
        "hardness": say("view_amounts.acid.hardness", value=known.show(water.hardness_ppm, "ppm")),
        "tested_salt": say("view_amounts.acid.salt", value=known.show(water.salt_ppm, "ppm")),
    }
    working = say("view_amounts.acid.working", **figures)
    if dose.assumed:
        assumed = joined(usual[check] for check in dose.assumed)
        working = say("view_amounts.acid.working_assumed", assumed=assumed, **figures)
    key = "in_pool" if dose.volume_m3 else "each"
    whole, half = (known.poured_down(acid.hcl_31_ml / 1000 * share) for share in (1.0, 0.5))
    text = say(f"view_amounts.acid.{key}", dose=whole, half=half, volume=named)
    care = say("view_amounts.acid.care", hours=known.show(known.knowledge.limits.hours_after_acid, "h"))
    return Amount(text, working, lacks_told(volume_lack(known), known), care)

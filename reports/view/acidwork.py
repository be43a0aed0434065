"""Amounts for acid work, in words: the cleaning mix, what neutralises it, acid and soda ash for the pH."""

from __future__ import annotations

from collections.abc import Mapping

from engine.foundation.texts import say
from engine.quantities.quantity import show_number, show_quantity
from engine.quantities.unit_systems import in_system, round_to
from engine.quantities.units import convert
from engine.treatment.acid import ACID_STRENGTH_PERCENT, CleaningMix, Neutraliser, PhDose
from engine.treatment.amounts import volume_lack
from engine.treatment.soda_ash import LIFTED_PH, PhLift
from reports.phrases import joined
from reports.view.known import KnownReadings, two_digits
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
    size, named = _for_volume(dose, known)
    acid = dose.dose(size)
    figures = {
        "ph": known.show(water.ph, "pH"),
        "target": known.show(dose.target_ph, "pH"),
        "alkalinity": known.show(water.alkalinity_ppm, "ppm"),
        "stabiliser": known.show(water.cya_ppm, "ppm"),
        "after": known.whole(acid.alkalinity_after_ppm, "ppm"),
    }
    working = _worked_out(dose, figures, known)
    key = "in_pool" if dose.volume_m3 else "each"
    whole, half = (known.poured_down(acid.hcl_31_ml / 1000 * share) for share in (1.0, 0.5))
    text = say(f"view_amounts.acid.{key}", dose=whole, half=half, volume=named)
    care = say("view_amounts.acid.care", hours=known.show(known.knowledge.limits.hours_after_acid, "h"))
    return Amount(text, working, lacks_told(volume_lack(known), known), care)


def ph_lift_told(dose: PhLift, known: KnownReadings) -> Amount:
    """Soda ash for the pool's pH, with what of it goes in at once and what it does to the alkalinity."""
    water = dose.water
    size, named = _for_volume(dose, known)
    soda = dose.dose(size)
    figures = {
        "ph": known.show(water.ph, "pH"),
        "target": known.show(LIFTED_PH, "pH"),
        "alkalinity": known.show(water.alkalinity_ppm, "ppm"),
        "stabiliser": known.show(water.cya_ppm, "ppm"),
        "after": known.whole(soda.alkalinity_after_ppm, "ppm"),
    }
    key = "in_pool" if dose.volume_m3 else "each"
    whole, most = (known.show(two_digits(grams), "g") for grams in (soda.grams, dose.at_once_g(size)))
    text = say(f"view_amounts.soda_ash.{key}", dose=whole, most=most, volume=named, after=figures["after"])
    missing = lacks_told(volume_lack(known), known)
    return Amount(text, _worked_out(dose, figures, known), missing, say("view_amounts.soda_ash.care"))


def _for_volume(dose: PhDose | PhLift, known: KnownReadings) -> tuple[float, str]:
    """The water that a dose is told for, m³, and how the reader calls it."""
    return (dose.volume_m3, known.show(dose.volume_m3, "m³")) if dose.volume_m3 else known.each_volume


def _worked_out(dose: PhDose | PhLift, figures: Mapping[str, str], known: KnownReadings) -> str:
    """From where to where the pH goes and in what water, with what was taken as usual."""
    water = dose.water
    usual = {
        "water_temp": known.show(water.temperature_c, "°C"),
        "hardness": say("view_amounts.acid.hardness", value=known.show(water.hardness_ppm, "ppm")),
        "tested_salt": say("view_amounts.acid.salt", value=known.show(water.salt_ppm, "ppm")),
    }
    if not dose.assumed:
        return say("view_amounts.acid.working", **figures)
    assumed = joined(usual[check] for check in dose.assumed)
    return say("view_amounts.acid.working_assumed", assumed=assumed, **figures)

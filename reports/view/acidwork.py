"""Amounts for work with acid: the cleaning mix, what neutralises it, and acid that brings the pH down afterwards."""

from __future__ import annotations

from engine.chlorinator.acid import acid_mix, bicarbonate_for_acid_g, hydrochloric_density_g_ml
from engine.chlorinator.balance import PoolWater, acid_dose
from engine.chlorinator.limits import RangeError
from engine.foundation.texts import say
from engine.knowledge.model import Repair
from engine.quantities.quantity import show_number, show_quantity
from engine.quantities.unit_systems import in_system, round_to
from engine.quantities.units import convert
from reports.phrases import joined
from reports.view.known import USUAL_WATER_C, KnownReadings
from reports.view.model import Amount

_ACID_STRENGTH_PERCENT = 30.0
"""The cleaning acid that the part names as usual: common practice."""
_WATER_PARTS = 10.0
"""Parts of water to one part of acid in the cleaning mix: common practice, no source."""
_TARGET_PH = 7.5
"""The pH that acid is dosed to, the middle of 7.2 to 7.8: common practice, no source."""
_PH_WORTH_A_DOSE = 7.7
"""Up to this pH no acid is told: two errors of a usual test above the target."""
_USUAL_HARDNESS_PPM = 250.0
"""Calcium hardness where none was tested; it moves a dose of acid by a few per cent: common practice."""
_ACID_TESTS = ("ph", "alkalinity", "stabiliser")
"""Without these tests no dose of acid is told."""


def bicarbonate(repair: Repair, known: KnownReadings) -> Amount:
    """Bicarbonate that neutralises the cleaning acid of a repair, used to the full."""
    litres = _acid_l(repair, known)
    if litres is None:
        missing = (say("view_amounts.missing.to_change"), *_volume_missing(known))
        return Amount(say("view_amounts.not_yet"), missing=missing)
    grams = bicarbonate_for_acid_g(litres, _ACID_STRENGTH_PERCENT)
    strength = known.show(_ACID_STRENGTH_PERCENT, "%")
    acid = known.poured_down(litres) if known.units == "us" else known.show(litres, "L")
    return Amount(
        say("view_amounts.bicarbonate.dose", dose=known.whole(grams, "g")),
        say("view_amounts.bicarbonate.working", acid=acid, strength=strength),
        care=say("view_amounts.bicarbonate.care"),
    )


def _volume_missing(known: KnownReadings) -> tuple[str, ...]:
    return () if known.numbers.get("pool_volume") else (say("view_amounts.missing.volume"),)


def _acid_l(repair: Repair, known: KnownReadings) -> float | None:
    """The cleaning acid that a repair takes, L, where its parts say so."""
    acids = {part.id for part in known.knowledge.parts.values() if part.use == "cleaning_acid"}
    said = next((need.amount for need in repair.parts if need.part in acids), None)
    if said is None or said.unit not in ("L", "mL"):
        return None
    return convert(said.value, said.unit, "L")


def acid_mix_amounts(repair: Repair, known: KnownReadings) -> tuple[Amount, ...]:
    """The mix of water and acid that a cell is cleaned with."""
    litres = _acid_l(repair, known)
    if litres is None:
        return (Amount(say("view_amounts.mix.not_worked_out"), missing=(say("view_amounts.missing.acid"),)),)
    density = hydrochloric_density_g_ml(_ACID_STRENGTH_PERCENT)
    mix = acid_mix(_ACID_STRENGTH_PERCENT, density, _WATER_PARTS, 1.0, litres * (_WATER_PARTS + 1.0))
    water, acid, whole = _measures(mix.water_ml / 1000, mix.acid_ml / 1000, known)
    text = say("view_amounts.mix.text", water=water, acid=acid, mix=whole, percent=f"{mix.percent:.0f}")
    working = say("view_amounts.mix.working", strength=known.show(_ACID_STRENGTH_PERCENT, "%"))
    return (Amount(text, working, care=say("view_amounts.mix.care")),)


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


def acid_for_ph(_: Repair, known: KnownReadings) -> tuple[Amount, ...]:
    """Acid for the pool from its tests; nothing where the pH needs none."""
    numbers = known.numbers
    ph, total, stabiliser = (numbers.get(check) for check in ("ph", "alkalinity", "stabiliser"))
    if ph is not None and ph <= _PH_WORTH_A_DOSE:
        return ()
    if ph is None or total is None or stabiliser is None:
        missing = [say(f"view_amounts.missing.{test}") for test in _ACID_TESTS if test not in numbers]
        return (Amount(say("view_amounts.acid.not_yet"), missing=(*missing, *_volume_missing(known))),)
    warmth, salt, hardness = known.water_c, numbers.get("tested_salt"), numbers.get("hardness")
    water = PoolWater(
        ph,
        USUAL_WATER_C if warmth is None else warmth,
        _USUAL_HARDNESS_PPM if hardness is None else hardness,
        total,
        stabiliser,
        known.unit.values["salt.ideal"] if salt is None else salt,
    )
    usual = [
        (warmth, known.show(water.temperature_c, "°C")),
        (hardness, say("view_amounts.acid.hardness", value=known.show(water.hardness_ppm, "ppm"))),
        (salt, say("view_amounts.acid.salt", value=known.show(water.salt_ppm, "ppm"))),
    ]
    try:
        return (_ph_dose(known, water, [text for value, text in usual if value is None]),)
    except RangeError:
        return (Amount(say("view_amounts.acid.not_worked_out"), say("view_amounts.no_dose")),)


def _ph_dose(known: KnownReadings, water: PoolWater, assumed: list[str]) -> Amount:
    volume = known.numbers.get("pool_volume")
    size, named = (volume, known.show(volume, "m³")) if volume else known.each_volume
    dose = acid_dose(size, water, _TARGET_PH)
    shown = known.poured_down(dose.hcl_31_ml / 1000)
    key = "in_pool" if volume else "each"
    figures = {
        "ph": known.show(water.ph, "pH"),
        "target": known.show(_TARGET_PH, "pH"),
        "alkalinity": known.show(water.alkalinity_ppm, "ppm"),
        "stabiliser": known.show(water.cya_ppm, "ppm"),
        "after": known.whole(dose.alkalinity_after_ppm, "ppm"),
    }
    working = say("view_amounts.acid.working", **figures)
    if assumed:
        working = say("view_amounts.acid.working_assumed", assumed=joined(assumed), **figures)
    text = say(f"view_amounts.acid.{key}", dose=shown, volume=named)
    return Amount(text, working, _volume_missing(known), say("view_amounts.acid.care"))

"""Catalogue: alkalinity, the calcite index, acid and mineral doses, cleaning acid."""

from __future__ import annotations

from engine.chlorinator import acid, balance
from engine.chlorinator.minerals import (
    ANHYDROUS_CALCIUM_CHLORIDE,
    BICARBONATE,
    DIHYDRATE,
    DRY_ACID,
    HCL_31,
    STABILISER,
    dose,
)
from engine.computations.types import Entry, Key, KeyedValue, Result, significant
from engine.computations.water import VOLUME
from engine.foundation.texts import say
from engine.quantities.quantity import show_number, show_quantity


def _carbonate_alkalinity(given: KeyedValue) -> Result:
    total, cya, ph = given.number("ta"), given.number("cya"), given.number("ph")
    carbonate = balance.carbonate_alkalinity_ppm(total, cya, ph)
    part, whole = show_number(total - carbonate, 0), show_number(total, 0)
    left = show_number(carbonate, 0)
    return Result(
        {"carbonate_mg_l": carbonate},
        (
            say("compute_balance.carbonate.cyanurate", ph=show_number(ph, 2), part=part, whole=whole),
            say("compute_balance.carbonate.left", part=part, whole=whole, left=left),
        ),
        (say("compute_balance.carbonate.constants"),),
    )


def _tested(given: KeyedValue) -> balance.PoolWater:
    """Give the water as it was tested."""
    return balance.PoolWater(*(given.number(name) for name in ("ph", "temp", "hardness", "ta", "cya", "salt")))


def _scaling(given: KeyedValue) -> Result:
    water = _tested(given)
    carbonate = balance.carbonate_alkalinity_ppm(water.alkalinity_ppm, water.cya_ppm, water.ph)
    index = balance.water_index(water)
    verdict = balance.index_verdict(index)
    word = say(f"compute_balance.verdicts.{verdict}")
    return Result(
        {"index": index, "verdict": verdict, "carbonate_mg_l": carbonate},
        (
            say(
                "compute_balance.scaling.saturated",
                carbonate=show_number(carbonate, 0), hardness=show_number(given.number("hardness"), 0),
                salt=show_number(given.number("salt"), 0), temp=show_quantity(given.number("temp"), "°C"),
                ph=f"{given.number('ph') - index:.1f}",
            ),
            say("compute_balance.scaling.index", index=f"{index:+.1f}", verdict=word),
        ),
        (say("compute_balance.scaling.limits"), say("compute_balance.scaling.in_the_cell")),
    )  # fmt: skip


def _acid_mix(given: KeyedValue) -> Result:
    strength, water, parts = given.number("strength"), given.number("water"), given.number("acid")
    density = given.maybe("density")
    if density is None:
        density = acid.hydrochloric_density_g_ml(strength)
    mix = acid.acid_mix(strength, density, water, parts, given.number("cell"))
    notes = [say("compute_balance.acid_mix.parts"), say("compute_balance.acid_mix.volumes")]
    if water / parts < 10:
        notes.insert(0, say("compute_balance.acid_mix.too_strong"))
    return Result(
        {
            "percent": mix.percent,
            "mol_l": mix.mol_l,
            "acid_ml": mix.acid_ml,
            "water_ml": mix.water_ml,
            "density_g_ml": density,
        },
        (
            say(
                "compute_balance.acid_mix.mixed",
                water=show_number(water, 2), acid=show_number(parts, 2), strength=f"{strength:.4g}",
                density=show_number(density, 3), percent=show_number(mix.percent, 1), mol=show_number(mix.mol_l, 2),
            ),
            say(
                "compute_balance.acid_mix.amounts",
                cell=show_quantity(given.number("cell"), "L"), water=significant(mix.water_ml, 3),
                acid=significant(mix.acid_ml, 3),
            ),
        ),
        tuple(notes),
    )  # fmt: skip


def _index_after(water: balance.PoolWater, target: float, total: float) -> float | None:
    """Give the calcite index once the acid is in, where the formula holds."""
    if target > balance.MAX_INDEX_PH or water.hardness_ppm == 0:
        return None
    carbonate = balance.carbonate_alkalinity_ppm(total, water.cya_ppm, target)
    return balance.calcite_index(target, water.temperature_c, water.hardness_ppm, carbonate, water.salt_ppm)


def _acid_dose(given: KeyedValue) -> Result:
    water = _tested(given)
    volume, target = given.number("volume"), given.number("target")
    dose = balance.acid_dose(volume, water, target)
    after = dose.alkalinity_after_ppm
    index = _index_after(water, target, after)
    note = say("compute_balance.acid_dose.from_to", now=show_number(water.ph, 2), target=show_number(target, 2))
    before, left = show_number(water.alkalinity_ppm, 0), show_number(after, 0)
    falls = say("compute_balance.acid_dose.alkalinity", before=before, after=left)
    if index is not None:
        shown = f"{index:+.1f}"
        falls = say("compute_balance.acid_dose.alkalinity_and_index", before=before, after=left, index=shown)
    working = (
        say(
            "compute_balance.acid_dose.dose",
            acid=significant(dose.acid_mmol_l, 2), volume=show_quantity(volume, "m³"),
            liquid=significant(dose.hcl_31_ml, 2), dry=significant(dose.dry_acid_g, 2),
        ),
        falls,
    )  # fmt: skip
    return Result(
        {
            "hcl_31_ml": dose.hcl_31_ml,
            "dry_acid_g": dose.dry_acid_g,
            "ph_note": note,
            "acid_mmol_l": dose.acid_mmol_l,
            "alkalinity_after_mg_l": after,
            "index_after": index,
        },
        working,
        (note, say("compute_balance.in_steps"), say("compute_balance.acid_dose.worth")),
    )


def _alkalinity_up(given: KeyedValue) -> Result:
    volume, rise = given.number("volume"), given.number("by")
    needed = dose(BICARBONATE, volume, rise)
    return Result(
        {"bicarbonate_kg": needed},
        (
            say(
                "compute_balance.alkalinity_up.dose",
                volume=show_quantity(volume, "m³"), rise=show_quantity(rise, "ppm"), dose=show_quantity(needed, "kg"),
            ),
        ),
        (say("compute_balance.in_steps"), say("compute_balance.alkalinity_up.ph_rises")),
    )  # fmt: skip


def _alkalinity_down(given: KeyedValue) -> Result:
    volume, fall = given.number("volume"), given.number("by")
    liquid, dry = dose(HCL_31, volume, fall), dose(DRY_ACID, volume, fall)
    return Result(
        {"hcl_31_l": liquid, "dry_acid_kg": dry},
        (
            say(
                "compute_balance.alkalinity_down.dose",
                volume=show_quantity(volume, "m³"), fall=show_quantity(fall, "ppm"),
                mol=show_number(volume * fall / 50.0435, 1), liquid=show_quantity(liquid, "L"),
                dry=show_quantity(dry, "kg"),
            ),
        ),
        (say("compute_balance.alkalinity_down.over_days"),),
    )  # fmt: skip


def _hardness_up(given: KeyedValue) -> Result:
    volume, rise = given.number("volume"), given.number("by")
    dry, hydrated = (
        dose(ANHYDROUS_CALCIUM_CHLORIDE, volume, rise),
        dose(DIHYDRATE, volume, rise),
    )
    return Result(
        {"calcium_chloride_kg": dry, "dihydrate_kg": hydrated},
        (
            say(
                "compute_balance.hardness_up.dose",
                volume=show_quantity(volume, "m³"), rise=show_quantity(rise, "ppm"), dry=show_quantity(dry, "kg"),
                hydrated=show_quantity(hydrated, "kg"),
            ),
        ),
        (say("compute_balance.hardness_up.heats"), say("compute_balance.in_steps")),
    )  # fmt: skip


def _stabiliser_up(given: KeyedValue) -> Result:
    volume, rise = given.number("volume"), given.number("by")
    needed = dose(STABILISER, volume, rise)
    return Result(
        {"cyanuric_acid_kg": needed},
        (
            say(
                "compute_balance.stabiliser_up.dose",
                volume=show_quantity(volume, "m³"), rise=show_quantity(rise, "ppm"), dose=show_quantity(needed, "kg"),
            ),
        ),
        (say("compute_balance.stabiliser_up.slow"), say("compute_balance.stabiliser_up.codes")),
    )  # fmt: skip


def _spent_acid(given: KeyedValue) -> Result:
    litres, percent = given.number("litres"), given.number("percent")
    dose = acid.bicarbonate_for_acid_g(litres, percent)
    return Result(
        {"bicarbonate_g": dose},
        (
            say(
                "compute_balance.spent_acid.dose",
                litres=show_quantity(litres, "L"), percent=show_number(percent, 2),
                mol=show_number(dose / 84.007, 2), dose=show_quantity(dose, "g"),
            ),
        ),
        (say("compute_balance.spent_acid.fizz"),),
    )  # fmt: skip


_PH = Key("ph", "pH", "ph")
_TEMP = Key("temp", "°C", "temp")
_TA = Key("ta", "ppm", "alkalinity", possible=(0, 5000))
_CYA = Key("cya", "ppm", "stabiliser", 0.0, possible=(0, 1000))
_HARDNESS = Key("hardness", "ppm", "hardness", possible=(0, 5000))
_SALT = Key("salt", "ppm", "salt")
_BY = Key("by", "ppm", "change", possible=(0, 1000))

BALANCE = (
    Entry(
        "carbonate-alkalinity",
        (_TA, Key("cya", "ppm", "stabiliser", possible=(0, 1000)), _PH),
        _carbonate_alkalinity,
        "cyanurate",
        example="ta=100 cya=90 ph=7.6",
    ),
    Entry(
        "scaling",
        (_PH, _TEMP, _HARDNESS, _TA, _CYA, _SALT),
        _scaling,
        "saturation",
        verdicts=("dissolving", "balanced", "scaling"),
        example="ph=7.5 temp=25 hardness=300 ta=100 salt=3200",
    ),
    Entry(
        "acid-mix",
        (
            Key("strength", "%", "acid_strength"),
            Key("density", "g/mL", "acid_density", optional=True),
            Key("water", "number", "parts_of_water", 10.0),
            Key("acid", "number", "parts_of_acid", 1.0),
            Key("cell", "L", "mix", 1.0, possible=(0, 100)),
        ),
        _acid_mix,
        "densities",
        ("acid", "spent_acid", "cleaning"),
        example="strength=32 cell=2",
    ),
    Entry(
        "acid-dose",
        (VOLUME, _PH, Key("target", "pH", "ph_wanted"), _TA, _CYA, _TEMP, _SALT, _HARDNESS),
        _acid_dose,
        "charge_balance",
        ("acid", "dosing"),
        example="volume=50 ph=7.8 target=7.5 ta=110 cya=40 temp=25 salt=3200 hardness=300",
    ),
    Entry(
        "alkalinity-up",
        (VOLUME, _BY),
        _alkalinity_up,
        "stoichiometry",
        ("dosing",),
        example="volume=50 by=20",
    ),
    Entry(
        "alkalinity-down",
        (VOLUME, _BY),
        _alkalinity_down,
        "stoichiometry",
        ("acid", "dosing"),
        example="volume=50 by=20",
    ),
    Entry(
        "hardness-up",
        (VOLUME, _BY),
        _hardness_up,
        "stoichiometry",
        ("dosing",),
        example="volume=50 by=50",
    ),
    Entry(
        "stabiliser-up",
        (VOLUME, _BY),
        _stabiliser_up,
        "mass_balance",
        ("gas", "dosing"),
        example="volume=50 by=30",
    ),
    Entry(
        "spent-acid",
        (Key("litres", "L", "spent_mix", possible=(0, 1000)), Key("percent", "%", "fresh_percent")),
        _spent_acid,
        "neutralising",
        ("spent_acid",),
        example="litres=1 percent=3.3",
    ),
)
"""The computations of this part of the catalogue."""

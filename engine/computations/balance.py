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
from engine.computations.water import PH, VOLUME, WATER_C
from engine.foundation.texts import say
from engine.quantities.quantity import figure, show_number, show_quantity


def _carbonate_alkalinity(given: KeyedValue) -> Result:
    total, cya, ph = given.numbers("ta", "cya", "ph")
    carbonate = balance.carbonate_alkalinity_ppm(total, cya, ph)
    part, whole, left = (show_number(value, 0) for value in (total - carbonate, total, carbonate))
    return Result(
        {"carbonate_mg_l": carbonate},
        (
            say("compute_balance.carbonate.cyanurate", **given.shown(part=part, whole=whole)),
            say("compute_balance.carbonate.left", part=part, whole=whole, left=left),
        ),
        (say("compute_balance.carbonate.constants"),),
    )


def _tested(given: KeyedValue) -> balance.PoolWater:
    """Give the water as it was tested."""
    return balance.PoolWater(*given.numbers("ph", "temp", "hardness", "ta", "cya", "salt"))


def _scaling(given: KeyedValue) -> Result:
    water = _tested(given)
    carbonate = balance.carbonate_alkalinity_ppm(water.alkalinity_ppm, water.cya_ppm, water.ph)
    index = balance.water_index(water)
    verdict = balance.index_verdict(index)
    word = say(f"compute_balance.verdicts.{verdict}")
    minerals = {"carbonate": carbonate, "hardness": water.hardness_ppm, "salt": water.salt_ppm}
    bare = {name: show_number(value, 0) for name, value in minerals.items()}
    return Result(
        {"index": index, "verdict": verdict, "carbonate_mg_l": carbonate},
        (
            say("compute_balance.scaling.saturated", **given.shown(**bare, ph=figure(water.ph - index, ".1f"))),
            say("compute_balance.scaling.index", index=figure(index, "+.1f"), verdict=word),
        ),
        (say("compute_balance.scaling.limits"), say("compute_balance.scaling.in_the_cell")),
    )


def _acid_mix(given: KeyedValue) -> Result:
    strength, water, parts, cell = given.numbers("strength", "water", "acid", "cell")
    density = given.maybe("density")
    if density is None:
        density = acid.hydrochloric_density_g_ml(strength)
    mix = acid.acid_mix(strength, density, water, parts, cell)
    shown = {
        "density": show_number(density, 3),
        "strength": figure(strength, ".4g"),
        "percent": show_number(mix.percent, 1),
        "mol": show_number(mix.mol_l, 2),
    }
    amounts = {"water": significant(mix.water_ml, 3), "acid": significant(mix.acid_ml, 3)}
    return Result(
        {**vars(mix), "density_g_ml": density},
        (
            say("compute_balance.acid_mix.mixed", **given.shown(**shown)),
            say("compute_balance.acid_mix.amounts", **given.shown(**amounts)),
        ),
        (say("compute_balance.acid_mix.parts"), say("compute_balance.acid_mix.volumes")),
    )


def _index_after(water: balance.PoolWater, target: float, total: float) -> float | None:
    """Give the calcite index once the acid is in, where the formula holds."""
    if target > balance.MAX_INDEX_PH or water.hardness_ppm == 0:
        return None
    carbonate = balance.carbonate_alkalinity_ppm(total, water.cya_ppm, target)
    return balance.calcite_index(target, water.temperature_c, water.hardness_ppm, carbonate, water.salt_ppm)


def _acid_dose(given: KeyedValue) -> Result:
    water, (volume, target) = _tested(given), given.numbers("volume", "target")
    needed = balance.acid_dose(volume, water, target)
    after = needed.alkalinity_after_ppm
    index = _index_after(water, target, after)
    note = say("compute_balance.acid_dose.from_to", **given.shown(now=show_number(water.ph, 2)))
    fall = {"before": show_number(water.alkalinity_ppm, 0), "after": show_number(after, 0)}
    falls = say("compute_balance.acid_dose.alkalinity", **fall)
    if index is not None:
        falls = say("compute_balance.acid_dose.alkalinity_and_index", **fall, index=figure(index, "+.1f"))
    acids = {"acid": needed.acid_mmol_l, "liquid": needed.hcl_31_ml, "dry": needed.dry_acid_g}
    worth = {name: significant(value, 2) for name, value in acids.items()}
    return Result(
        {
            "hcl_31_ml": needed.hcl_31_ml,
            "dry_acid_g": needed.dry_acid_g,
            "ph_note": note,
            "acid_mmol_l": needed.acid_mmol_l,
            "alkalinity_after_mg_l": after,
            "index_after": index,
        },
        (say("compute_balance.acid_dose.dose", **given.shown(**worth)), falls),
        (note, say("compute_balance.in_steps"), say("compute_balance.acid_dose.worth")),
    )


def _soda_ash(given: KeyedValue) -> Result:
    water, (volume, target) = _tested(given), given.numbers("volume", "target")
    needed = balance.soda_ash_dose(volume, water, target)
    shown = {
        "dose": significant(needed.grams, 2),
        "now": show_number(water.ph, 2),
        "before": show_number(water.alkalinity_ppm, 0),
        "after": show_number(needed.alkalinity_after_ppm, 0),
    }
    return Result(
        {"soda_ash_g": needed.grams, "alkalinity_after_mg_l": needed.alkalinity_after_ppm},
        (
            say("compute_balance.soda_ash.dose", **given.shown(**shown)),
            say("compute_balance.soda_ash.alkalinity", **given.shown(**shown)),
        ),
        (say("compute_balance.in_steps"), say("compute_balance.soda_ash.air_first")),
    )


def _alkalinity_up(given: KeyedValue) -> Result:
    kg = dose(BICARBONATE, *given.numbers("volume", "by"))
    return Result(
        {"bicarbonate_kg": kg},
        (say("compute_balance.alkalinity_up.dose", **given.shown(dose=show_quantity(kg, "kg"))),),
        (say("compute_balance.in_steps"), say("compute_balance.alkalinity_up.ph_rises")),
    )


def _alkalinity_down(given: KeyedValue) -> Result:
    volume, fall = given.numbers("volume", "by")
    litres, kg = dose(HCL_31, volume, fall), dose(DRY_ACID, volume, fall)
    mol = show_number(volume * fall / 50.0435, 1)
    doses = {"liquid": show_quantity(litres, "L"), "dry": show_quantity(kg, "kg")}
    return Result(
        {"hcl_31_l": litres, "dry_acid_kg": kg},
        (say("compute_balance.alkalinity_down.dose", **given.shown(mol=mol, **doses)),),
        (say("compute_balance.alkalinity_down.over_days"),),
    )


def _hardness_up(given: KeyedValue) -> Result:
    volume, rise = given.numbers("volume", "by")
    dry, hydrated = dose(ANHYDROUS_CALCIUM_CHLORIDE, volume, rise), dose(DIHYDRATE, volume, rise)
    doses = {"dry": show_quantity(dry, "kg"), "hydrated": show_quantity(hydrated, "kg")}
    return Result(
        {"calcium_chloride_kg": dry, "dihydrate_kg": hydrated},
        (say("compute_balance.hardness_up.dose", **given.shown(**doses)),),
        (say("compute_balance.hardness_up.heats"), say("compute_balance.in_steps")),
    )


def _stabiliser_up(given: KeyedValue) -> Result:
    kg = dose(STABILISER, *given.numbers("volume", "by"))
    return Result(
        {"cyanuric_acid_kg": kg},
        (say("compute_balance.stabiliser_up.dose", **given.shown(dose=show_quantity(kg, "kg"))),),
        (say("compute_balance.stabiliser_up.slow"), say("compute_balance.stabiliser_up.codes")),
    )


def _spent_acid(given: KeyedValue) -> Result:
    grams = acid.bicarbonate_for_acid_g(*given.numbers("litres", "percent"))
    shown = given.shown(mol=show_number(grams / 84.007, 2), dose=show_quantity(grams, "g"))
    return Result(
        {"bicarbonate_g": grams},
        (say("compute_balance.spent_acid.dose", **shown),),
        (say("compute_balance.spent_acid.fizz"),),
    )


_PH = Key("ph", "pH", "ph", usual=PH, decimals=2)
_TARGET = Key("target", "pH", "ph_wanted", usual=PH, decimals=2)
_TEMP = Key("temp", "°C", "temp", usual=WATER_C)
_TA = Key("ta", "ppm", "alkalinity", possible=(0, 5000), usual=(5, 1000))
_CYA = Key("cya", "ppm", "stabiliser", 0.0, possible=(0, 1000), usual=(1, 500))
_HARDNESS = Key("hardness", "ppm", "hardness", possible=(0, 5000), usual=(5, 2000))
_SALT = Key("salt", "ppm", "salt", usual=(50, 50_000))
_BY = Key("by", "ppm", "change", possible=(0, 1000), usual=(1, 500))

BALANCE = (
    Entry(
        "carbonate-alkalinity",
        (_TA, Key("cya", "ppm", "stabiliser", possible=(0, 1000), usual=(1, 500)), _PH),
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
            Key("strength", "%", "acid_strength", usual=(2, 40)),
            Key("density", "g/mL", "acid_density", optional=True, usual=(0.9, 1.3)),
            Key("water", "number", "parts_of_water", 10.0, usual=(0.5, 100), decimals=2),
            Key("acid", "number", "parts_of_acid", 1.0, usual=(0.05, 10), decimals=2),
            Key("cell", "L", "mix", 1.0, possible=(0, 100), usual=(0.05, 100)),
        ),
        _acid_mix,
        "densities",
        ("acid", "spent_acid", "cleaning"),
        example="strength=32 cell=2",
    ),
    Entry(
        "acid-dose",
        (VOLUME, _PH, _TARGET, _TA, _CYA, _TEMP, _SALT, _HARDNESS),
        _acid_dose,
        "charge_balance",
        ("acid", "dosing"),
        example="volume=50 ph=7.8 target=7.5 ta=110 cya=40 temp=25 salt=3200 hardness=300",
    ),
    Entry(
        "soda-ash",
        (VOLUME, _PH, _TARGET, _TA, _CYA, _TEMP, _SALT, _HARDNESS),
        _soda_ash,
        "charge_balance",
        ("dosing",),
        example="volume=50 ph=6.9 target=7.4 ta=80 cya=40 temp=25 salt=3200 hardness=300",
    ),
    Entry("alkalinity-up", (VOLUME, _BY), _alkalinity_up, "stoichiometry", ("dosing",), example="volume=50 by=20"),
    Entry(
        "alkalinity-down",
        (VOLUME, _BY),
        _alkalinity_down,
        "stoichiometry",
        ("acid", "dosing"),
        example="volume=50 by=20",
    ),
    Entry("hardness-up", (VOLUME, _BY), _hardness_up, "stoichiometry", ("dosing",), example="volume=50 by=50"),
    Entry("stabiliser-up", (VOLUME, _BY), _stabiliser_up, "mass_balance", ("dosing",), example="volume=50 by=30"),
    Entry(
        "spent-acid",
        (
            Key("litres", "L", "spent_mix", possible=(0, 1000), usual=(0.05, 500)),
            Key("percent", "%", "fresh_percent", usual=(0.2, 20), decimals=2),
        ),
        _spent_acid,
        "neutralising",
        ("spent_acid",),
        example="litres=1 percent=3.3",
    ),
)
"""The computations of this part of the catalogue."""

"""Catalogue: alkalinity, the calcite index, acid and mineral doses, cleaning acid."""

from __future__ import annotations

from engine.chlorinator import acid, balance, minerals
from engine.computations.form import Answer, Entry, Given, Key, significant
from engine.computations.water import VOLUME
from engine.quantities import show_number, show_quantity

__all__ = ["BALANCE"]

_ACID = ("acid_never_with_chlorine", "acid_into_water", "splash_protection")
_IN_STEPS = "common practice: add half to two thirds, circulate, test again, then the rest"
_PART_WATER = "1 L of acid and 10 L of water make 11 parts, not 10"


def _carbonate_alkalinity(given: Given) -> Answer:
    total, cya, ph = given.number("ta"), given.number("cya"), given.number("ph")
    carbonate = balance.carbonate_alkalinity_ppm(total, cya, ph)
    shown = show_number(total - carbonate, 0)
    return Answer(
        {"carbonate_mg_l": carbonate},
        (
            f"cyanurate's part at pH {show_number(ph, 2)}: {shown} ppm of the {show_number(total, 0)} ppm",
            f"{show_number(total, 0)} - {shown} = {show_number(carbonate, 0)} ppm of carbonate alkalinity",
        ),
        ("published constants differ by 0.02 of the cyanuric acid, 2 ppm at 100 ppm",),
    )


def _tested(given: Given) -> balance.PoolWater:
    """Give the water as it was tested."""
    return balance.PoolWater(*(given.number(name) for name in ("ph", "temp", "hardness", "ta", "cya", "salt")))


def _scaling(given: Given) -> Answer:
    water = _tested(given)
    carbonate = balance.carbonate_alkalinity_ppm(water.alkalinity_ppm, water.cya_ppm, water.ph)
    index = balance.water_index(water)
    verdict = balance.index_verdict(index)
    return Answer(
        {"index": index, "verdict": verdict, "carbonate_mg_l": carbonate},
        (
            f"carbonate alkalinity {show_number(carbonate, 0)} ppm, hardness {show_number(given.number('hardness'), 0)}"
            f" ppm, salt {show_number(given.number('salt'), 0)} ppm, {show_quantity(given.number('temp'), '°C')}:"
            f" saturated at pH {given.number('ph') - index:.1f}",
            f"index {index:+.1f}, give or take 0.1: {verdict}",
        ),
        (
            "dissolving under -0.3, scaling over 0.3 (common practice)",
            "an index below 0 does not rule out scale in the cell: the film at its cathodes is far more"
            " alkaline (from memory)",
        ),
    )


def _acid_mix(given: Given) -> Answer:
    strength, water, parts = given.number("strength"), given.number("water"), given.number("acid")
    density = given.maybe("density")
    if density is None:
        density = acid.hydrochloric_density_g_ml(strength)
    mix = acid.acid_mix(strength, density, water, parts, given.number("cell"))
    notes = [_PART_WATER, "volumes are taken as additive (1 %)"]
    if water / parts < 10:
        notes.insert(
            0, "stronger than the usual ten to one: it eats the coating; common practice is 10 of water to 1 of acid"
        )
    return Answer(
        {
            "percent": mix.percent,
            "mol_l": mix.mol_l,
            "acid_ml": mix.acid_ml,
            "water_ml": mix.water_ml,
            "density_g_ml": density,
        },
        (
            f"{show_number(water, 2)} of water to {show_number(parts, 2)} of acid ({strength:.4g} % HCl,"
            f" {show_number(density, 3)} g/mL): {show_number(mix.percent, 1)} % by mass,"
            f" {show_number(mix.mol_l, 2)} mol/L",
            f"for {show_quantity(given.number('cell'), 'L')}: {significant(mix.water_ml, 3)} mL of water first,"
            f" then {significant(mix.acid_ml, 3)} mL of acid into it",
        ),
        tuple(notes),
    )


def _index_after(water: balance.PoolWater, target: float, total: float) -> float | None:
    """Give the calcite index once the acid is in, where the formula holds."""
    if target > balance.MAX_INDEX_PH or water.hardness_ppm == 0:
        return None
    carbonate = balance.carbonate_alkalinity_ppm(total, water.cya_ppm, target)
    return balance.calcite_index(target, water.temperature_c, water.hardness_ppm, carbonate, water.salt_ppm)


def _acid_dose(given: Given) -> Answer:
    water = _tested(given)
    volume, target = given.number("volume"), given.number("target")
    dose = balance.acid_dose(volume, water, target)
    after = dose.alkalinity_after_ppm
    index = _index_after(water, target, after)
    from_to = f"from pH {show_number(water.ph, 2)} to {show_number(target, 2)}"
    note = f"{from_to}, before carbon dioxide leaves and the pH drifts up again"
    working = (
        f"{significant(dose.acid_mmol_l, 2)} mmol/L of acid for {show_quantity(volume, 'm³')}:"
        f" {significant(dose.hcl_31_ml, 2)} mL of 31.45 % hydrochloric acid,"
        f" or {significant(dose.dry_acid_g, 2)} g of sodium bisulfate",
        f"total alkalinity goes from {show_number(water.alkalinity_ppm, 0)} to {show_number(after, 0)} ppm"
        + ("" if index is None else f", the scaling index to {index:+.1f}"),
    )
    return Answer(
        {
            "hcl_31_ml": dose.hcl_31_ml,
            "dry_acid_g": dose.dry_acid_g,
            "ph_note": note,
            "acid_mmol_l": dose.acid_mmol_l,
            "alkalinity_after_mg_l": after,
            "index_after": index,
        },
        working,
        (note, _IN_STEPS, "good to 5 % for the water as tested; stabiliser buffers too and is counted"),
    )


def _alkalinity_up(given: Given) -> Answer:
    volume, rise = given.number("volume"), given.number("by")
    dose = minerals.bicarbonate_kg(volume, rise)
    return Answer(
        {"bicarbonate_kg": dose},
        (
            f"{show_quantity(volume, 'm³')} x {show_quantity(rise, 'ppm')} x 84.007 / 50.04 / 1000"
            f" = {show_quantity(dose, 'kg')} of sodium bicarbonate",
        ),
        (_IN_STEPS, "the pH rises a little with it"),
    )


def _alkalinity_down(given: Given) -> Answer:
    volume, fall = given.number("volume"), given.number("by")
    dose, dry = minerals.hcl_31_for_alkalinity_l(volume, fall), minerals.dry_acid_for_alkalinity_kg(volume, fall)
    return Answer(
        {"hcl_31_l": dose, "dry_acid_kg": dry},
        (
            f"{show_quantity(volume, 'm³')} x {show_quantity(fall, 'ppm')} / 50.04 ="
            f" {show_number(volume * fall / 50.0435, 1)}"
            f" mol of acid: {show_quantity(dose, 'L')} of 31.45 % hydrochloric acid,"
            f" or {show_quantity(dry, 'kg')} of sodium bisulfate",
        ),
        ("in several doses over days, each small enough to keep the pH above 7; aerate in between (common practice)",),
    )


def _hardness_up(given: Given) -> Answer:
    volume, rise = given.number("volume"), given.number("by")
    dry, hydrated = minerals.calcium_chloride_kg(volume, rise), minerals.dihydrate_kg(volume, rise)
    return Answer(
        {"calcium_chloride_kg": dry, "dihydrate_kg": hydrated},
        (
            f"{show_quantity(volume, 'm³')} x {show_quantity(rise, 'ppm')} x 110.984 / 100.087 / 1000 ="
            f" {show_quantity(dry, 'kg')} of anhydrous calcium chloride, or"
            f" {show_quantity(hydrated, 'kg')} of the dihydrate",
        ),
        ("it heats the water it dissolves in: a little at a time into a bucket of water (common practice)", _IN_STEPS),
    )


def _stabiliser_up(given: Given) -> Answer:
    volume, rise = given.number("volume"), given.number("by")
    dose = minerals.cyanuric_acid_kg(volume, rise)
    return Answer(
        {"cyanuric_acid_kg": dose},
        (
            f"{show_quantity(volume, 'm³')} x {show_quantity(rise, 'ppm')} / 1000 = {show_quantity(dose, 'kg')}"
            " of cyanuric acid",
        ),
        (
            "it dissolves over days and only dilution lowers it: test again after a week before adding"
            " more (common practice)",
            "local codes limit it",
        ),
    )


def _spent_acid(given: Given) -> Answer:
    litres, percent = given.number("litres"), given.number("percent")
    dose = acid.bicarbonate_for_acid_g(litres, percent)
    return Answer(
        {"bicarbonate_g": dose},
        (
            f"{show_quantity(litres, 'L')} of {show_number(percent, 2)} % HCl hold"
            f" {show_number(dose / 84.007, 2)} mol of acid:"
            f" {show_quantity(dose, 'g')} of sodium bicarbonate",
        ),
        ("spent acid holds less: add it slowly until it no longer fizzes, in the open, it foams",),
    )


_PH = Key("ph", "pH", "pH")
_TEMP = Key("temp", "°C", "water temperature")
_TA = Key("ta", "ppm", "total alkalinity by test, as CaCO3", possible=(0, 5000))
_CYA = Key("cya", "ppm", "cyanuric acid", 0.0, possible=(0, 1000))
_HARDNESS = Key("hardness", "ppm", "calcium hardness, as CaCO3", possible=(0, 5000))
_SALT = Key("salt", "ppm", "dissolved salt")
_BY = Key("by", "ppm", "change wanted", possible=(0, 1000))
_STRENGTH = Key("strength", "%", "HCl on the label, mass percent")
_STOICHIOMETRY = "stoichiometry with IUPAC atomic weights"

BALANCE = (
    Entry(
        "carbonate-alkalinity",
        "alkalinity without cyanurate's part",
        (_TA, Key("cya", "ppm", "cyanuric acid", possible=(0, 1000)), _PH),
        _carbonate_alkalinity,
        "acid equilibrium, pK 6.88 of O'Brien, Morris & Butler 1974 (from memory)",
        example="ta=100 cya=90 ph=7.6",
    ),
    Entry(
        "scaling",
        "calcite saturation index: whether lime forms or dissolves",
        (_PH, _TEMP, _HARDNESS, _TA, _CYA, _SALT),
        _scaling,
        "APHA Standard Methods 2330 B, constants of Plummer & Busenberg 1982 (from memory)",
        verdicts=("dissolving", "balanced", "scaling"),
        example="ph=7.5 temp=25 hardness=300 ta=100 salt=3200",
    ),
    Entry(
        "acid-mix",
        "cleaning mix for a cell",
        (
            _STRENGTH,
            Key("density", "g/mL", "density of the acid; from its strength", optional=True),
            Key("water", "number", "parts of water", 10.0),
            Key("acid", "number", "parts of acid", 1.0),
            Key("cell", "L", "mix wanted", 1.0, possible=(0, 100)),
        ),
        _acid_mix,
        "mass balance; densities from Perry and CRC handbooks (from memory)",
        (*_ACID, "spent_acid", "no_scraping"),
        example="strength=32 cell=2",
    ),
    Entry(
        "acid-dose",
        "acid that lowers the pH",
        (VOLUME, _PH, Key("target", "pH", "pH wanted"), _TA, _CYA, _TEMP, _SALT, _HARDNESS),
        _acid_dose,
        "charge balance of closed carbonate water, Plummer & Busenberg 1982 (from memory), ion pairs of phreeqc.dat",
        (*_ACID, "swimmers_out"),
        example="volume=50 ph=7.8 target=7.5 ta=110 cya=40 temp=25 salt=3200 hardness=300",
    ),
    Entry(
        "alkalinity-up",
        "bicarbonate that raises the alkalinity",
        (VOLUME, _BY),
        _alkalinity_up,
        _STOICHIOMETRY,
        ("swimmers_out",),
        example="volume=50 by=20",
    ),
    Entry(
        "alkalinity-down",
        "acid that lowers the alkalinity",
        (VOLUME, _BY),
        _alkalinity_down,
        _STOICHIOMETRY,
        (*_ACID, "swimmers_out"),
        example="volume=50 by=20",
    ),
    Entry(
        "hardness-up",
        "calcium chloride that raises the hardness",
        (VOLUME, _BY),
        _hardness_up,
        _STOICHIOMETRY,
        ("swimmers_out",),
        example="volume=50 by=50",
    ),
    Entry(
        "stabiliser-up",
        "cyanuric acid that raises the stabiliser",
        (VOLUME, _BY),
        _stabiliser_up,
        "mass balance",
        ("acid_never_with_chlorine", "swimmers_out"),
        example="volume=50 by=30",
    ),
    Entry(
        "spent-acid",
        "bicarbonate that neutralises spent cleaning acid",
        (Key("litres", "L", "spent mix", possible=(0, 1000)), Key("percent", "%", "HCl when fresh, mass percent")),
        _spent_acid,
        "HCl + NaHCO3 -> NaCl + H2O + CO2",
        ("spent_acid", "splash_protection", "acid_never_with_chlorine"),
        example="litres=1 percent=3.3",
    ),
)
"""The computations of this part of the catalogue."""

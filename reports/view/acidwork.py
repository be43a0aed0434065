"""Amounts for work with acid: the cleaning mix, what neutralises it, and acid that brings the pH down afterwards."""

from __future__ import annotations

import re

from engine.chlorinator.acid import acid_mix, bicarbonate_for_acid_g, hydrochloric_density_g_ml
from engine.chlorinator.balance import PoolWater, acid_dose
from engine.chlorinator.limits import RangeError
from engine.model import Repair
from engine.quantities import show_quantity
from reports.view.known import USUAL_WATER_C, VOLUME, Known, two_digits, whole
from reports.view.model import Amount
from reports.words import joined

__all__ = ["bicarbonate", "cleaning_amounts"]

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


def bicarbonate(repair: Repair, known: Known) -> Amount:
    """Bicarbonate that neutralises the cleaning acid of a repair, used to the full."""
    litres = _acid_l(repair)
    if litres is None:
        missing = ("what it is to change in the water", *(() if "pool_volume" in known.numbers else (VOLUME,)))
        return Amount("not worked out yet", missing=missing)
    grams = bicarbonate_for_acid_g(litres, _ACID_STRENGTH_PERCENT)
    return Amount(
        f"about {whole(grams, 'g')}",
        f"For {show_quantity(litres, 'L')} of acid of {show_quantity(_ACID_STRENGTH_PERCENT, '%')} used to the full; "
        "stir it in until the fizzing stops.",
    )


def cleaning_amounts(repair: Repair, known: Known) -> tuple[Amount, ...]:
    """What a cell is cleaned with, and the acid for the pool where its pH let the scale grow."""
    return (*_mix(repair), *_acid_for_ph(known))


def _acid_l(repair: Repair) -> float | None:
    """The cleaning acid that a repair takes, L, where its parts say so."""
    said = next((need.amount for need in repair.parts if need.part == "cleaning_acid"), "")
    litres = re.fullmatch(r"([0-9]+(?:\.[0-9]+)?) L", said)
    return None if litres is None else float(litres[1])


def _mix(repair: Repair) -> tuple[Amount, ...]:
    litres = _acid_l(repair)
    if litres is None:
        return (Amount("cleaning mix not worked out", missing=("how much cleaning acid there is",)),)
    density = hydrochloric_density_g_ml(_ACID_STRENGTH_PERCENT)
    mix = acid_mix(_ACID_STRENGTH_PERCENT, density, _WATER_PARTS, 1.0, litres * (_WATER_PARTS + 1.0))
    return (
        Amount(
            f"{show_quantity(mix.water_ml / 1000, 'L')} of water first, then {show_quantity(mix.acid_ml, 'mL')} of "
            f"acid into it: {show_quantity((mix.water_ml + mix.acid_ml) / 1000, 'L')} of mix, about "
            f"{mix.percent:.0f} % acid",
            f"Ten parts of water to one of acid whose label says {show_quantity(_ACID_STRENGTH_PERCENT, '%')}. A cell "
            "that holds more or less takes the same ten to one; no stronger mix.",
        ),
    )


def _acid_for_ph(known: Known) -> tuple[Amount, ...]:
    """Acid for the pool from its tests; nothing where the pH needs none."""
    numbers = known.numbers
    ph, total, stabiliser = (numbers.get(check) for check in ("ph", "alkalinity", "stabiliser"))
    if ph is not None and ph <= _PH_WORTH_A_DOSE:
        return ()
    if ph is None or total is None or stabiliser is None:
        lacks = ((ph, "a pH test"), (total, "an alkalinity test"), (stabiliser, "a stabiliser test"))
        missing = [name for value, name in lacks if value is None]
        missing += [] if "pool_volume" in numbers else [VOLUME]
        return (Amount("acid for the pool's pH not worked out yet", missing=tuple(missing)),)
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
        (warmth, show_quantity(water.temperature_c, "°C")),
        (hardness, f"calcium hardness {show_quantity(water.hardness_ppm, 'ppm')}"),
        (salt, f"salt {show_quantity(water.salt_ppm, 'ppm')}"),
    ]
    try:
        return (_ph_dose(known, water, [text for value, text in usual if value is None]),)
    except RangeError as error:
        return (Amount("acid for the pool's pH not worked out", f"The readings give no dose: {error}."),)


def _ph_dose(known: Known, water: PoolWater, assumed: list[str]) -> Amount:
    volume = known.numbers.get("pool_volume")
    dose = acid_dose(volume or 10.0, water, _TARGET_PH)
    much = dose.hcl_31_ml
    shown = show_quantity(two_digits(much / 1000), "L") if much >= 1000 else show_quantity(two_digits(much), "mL")
    where = f"in {show_quantity(volume, 'm³')}" if volume else "for each 10 m³ (10 000 L) of water"
    taken = f" Taken as usual: {joined(assumed)}." if assumed else ""
    return Amount(
        f"about {shown} of hydrochloric acid of 31 % {where}, half of it first",
        f"From {show_quantity(water.ph, 'pH')} to {show_quantity(_TARGET_PH, 'pH')}, with alkalinity "
        f"{show_quantity(water.alkalinity_ppm, 'ppm')} and stabiliser {show_quantity(water.cya_ppm, 'ppm')}; "
        f"alkalinity goes to about {whole(dose.alkalinity_after_ppm, 'ppm')}.{taken} Never on the day of a "
        "chlorine dose by hand. Pump running, nobody in the water; test before the rest.",
        () if volume else (VOLUME,),
    )

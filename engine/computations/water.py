"""Catalogue: salt, dilution, conductivity, volume and mixing."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from engine.chlorinator import pool, water
from engine.chlorinator.limits import RangeError, require_above_zero
from engine.computations.form import Answer, Entry, Given, Key, significant
from engine.quantities import show_number, show_quantity

__all__ = ["WATER"]

VOLUME = Key("volume", "m³", "pool volume")
_SALT_MIXES = "common practice: brush, run the pump for 24 h, cell off until dissolved, then test again"


def _salt_dose(given: Given) -> Answer:
    volume, now, target = given.number("volume"), given.number("now"), given.number("target")
    purity, bag = given.number("purity"), given.number("bag")
    require_above_zero("bag", bag, "kg")
    salt = water.salt_dose_kg(volume, now, target, purity)
    # Rounding in the last digit must not make a full bag into two.
    bags = math.ceil(salt / bag - 1e-9)
    over = (bags * bag - salt) * purity * 1000 / volume
    return Answer(
        {"salt_kg": salt, "bags": bags, "over_ppm": over},
        (
            f"{show_quantity(volume, 'm³')} x ({show_quantity(target, 'ppm')} - {show_quantity(now, 'ppm')}) / 1000"
            f" / purity {show_number(purity, 3)} = {show_quantity(salt, 'kg')} of salt",
            f"{bags} bags of {show_quantity(bag, 'kg')}: {show_quantity(bags * bag, 'kg')}, which goes"
            f" {show_quantity(round(over, 1), 'ppm')} over, to {show_quantity(target + round(over, 1), 'ppm')}",
        ),
        ("1 ppm is taken as 1 mg/L (0.3 % off at 3000 ppm)", _SALT_MIXES),
    )


def _dilute(given: Given) -> Answer:
    volume = given.number("volume")
    concentrations = given.number("now"), given.number("target"), given.number("fill")
    drain = water.drain_m3(volume, *concentrations)
    overflow = water.overflow_m3(volume, *concentrations)
    now, target, fill = (show_quantity(value, "ppm") for value in concentrations)
    return Answer(
        {"drain_m3": drain, "overflow_m3": overflow},
        (
            f"drain, then refill: {show_quantity(volume, 'm³')} x ({now} - {target}) / ({now} - {fill})"
            f" = {show_quantity(drain, 'm³')} ({show_number(100 * drain / volume, 0)} % of the pool)",
            f"or overflow while filling: {show_quantity(volume, 'm³')} x ln(({now} - {fill}) / ({target} - {fill}))"
            f" = {show_quantity(overflow, 'm³')}",
        ),
        (
            "assumes that water run in while overflowing mixes fully",
            "common practice: drain a third at a time; an empty shell can lift or crack, and local rules"
            " may limit where to",
        ),
    )


def _salt_from_conductivity(given: Given) -> Answer:
    conductivity, temp = given.number("conductivity"), given.number("temp")
    salinity = water.practical_salinity(conductivity, temp)
    return Answer(
        {"practical_salinity": salinity, "salt_ppm": 1000 * salinity},
        (
            f"{show_quantity(conductivity, 'mS/cm')} at {show_quantity(temp, '°C')}: practical salinity"
            f" {significant(salinity, 3)}",
            f"x 1000 = about {significant(1000 * salinity, 2)} ppm of dissolved salts",
        ),
        (
            "salt_ppm is 1000 x practical salinity, good to 5 % plus the meter's own error",
            "everything ionic conducts (hardness, alkalinity, stabiliser): compare with a chloride test before"
            " condemning a cell",
            "pure sodium chloride reads about 2 % high, as the scale is for sea salt",
        ),
    )


def _conductivity_from_salt(given: Given) -> Answer:
    salinity, temp = given.number("salinity"), given.number("temp")
    conductivity = water.conductivity_ms_cm(salinity, temp)
    return Answer(
        {"conductivity_ms_cm": conductivity},
        (
            f"practical salinity {significant(salinity, 3)} (about {significant(1000 * salinity, 2)} ppm) at"
            f" {show_quantity(temp, '°C')}: {significant(conductivity, 3)} mS/cm",
        ),
        ("at the water's own temperature; a meter set to 25 °C shows what it would be there", "good to 5 %"),
    )


def _volume_from_salt(given: Given) -> Answer:
    salt, before, after = given.number("salt"), given.number("before"), given.number("after")
    volume = water.volume_from_salt_m3(salt, before, after)
    return Answer(
        {"volume_m3": volume},
        (
            f"{show_quantity(salt, 'kg')} x 1000 / ({show_quantity(after, 'ppm')} - {show_quantity(before, 'ppm')})"
            f" = {show_quantity(volume, 'm³')}",
        ),
        (
            f"an error of 50 ppm in each reading makes {significant(7071 / (after - before), 1)} % of error here",
            _SALT_MIXES,
        ),
    )


_MEASURES = {
    "rectangle": ("length", "width"),
    "ellipse": ("length", "width"),
    "round": ("diameter",),
    "stadium": ("length", "width"),
    "kidney": ("length", "width", "width2"),
}


def _mean_depth(given: Given) -> float:
    """Give the depth, or the mean of an even slope."""
    depth, shallow, deep = given.maybe("depth"), given.maybe("shallow"), given.maybe("deep")
    if depth is not None and shallow is None and deep is None:
        return depth
    if depth is not None or shallow is None or deep is None:
        raise RangeError("the depth is not clear", "give either depth=..., or shallow=... and deep=...")
    require_above_zero("shallow end", shallow, "m")
    require_above_zero("deep end", deep, "m")
    return (shallow + deep) / 2


def _lengths(given: Given, shape: str) -> list[float]:
    """Give the lengths that a shape needs, and refuse those it has no use for."""
    needed = _MEASURES[shape]
    for name in ("length", "width", "width2", "diameter"):
        if (given.maybe(name) is None) == (name in needed):
            fault = "lacks" if name in needed else "has no"
            raise RangeError(f"shape={shape} {fault} {name}", f"give {', '.join(needed)} and the depth")
    return [given.number(name) for name in needed]


def _pool_volume(given: Given) -> Answer:
    shape = given.word("shape")
    lengths, depth = _lengths(given, shape), _mean_depth(given)
    volumes: Mapping[str, Callable[..., float]] = {
        "rectangle": pool.rectangle_m3,
        "ellipse": pool.ellipse_m3,
        "round": pool.round_m3,
        "stadium": pool.stadium_m3,
        "kidney": pool.kidney_m3,
    }
    volume = volumes[shape](*lengths, depth)
    measures = " x ".join(show_quantity(length, "m") for length in lengths)
    notes = ["several sections add up: pool-volume shape=... pool-volume shape=...", "measure the water, not the shell"]
    if shape == "kidney":
        notes.insert(0, "a kidney shape is good to 10 % (common practice)")
    return Answer(
        {"volume_m3": volume},
        (f"{shape} {measures}, mean depth {show_quantity(depth, 'm')}: {show_quantity(volume, 'm³')}",),
        tuple(notes),
    )


def _turnovers(given: Given) -> Answer:
    volume, flow, hours = given.number("volume"), given.number("flow"), given.number("hours")
    count = pool.turnovers(volume, flow, hours)
    share = pool.mixed_share(count)
    return Answer(
        {"turnovers": count, "mixed_share": share},
        (
            f"{show_quantity(flow, 'm³/h')} x {show_quantity(hours, 'h')} / {show_quantity(volume, 'm³')}"
            f" = {show_number(count, 2)} turnovers",
            f"1 - exp(-{show_number(count, 2)}) = {show_number(100 * share, 1)} % of the water has passed"
            " at least once",
        ),
        ("assumes perfect mixing; a real pool has dead corners",),
    )


_LENGTH_KEYS = tuple(
    Key(name, "m", meaning, optional=True)
    for name, meaning in (
        ("length", "length"),
        ("width", "width"),
        ("width2", "width of a kidney's other lobe"),
        ("diameter", "diameter"),
        ("depth", "water depth, or its mean"),
        ("shallow", "depth at the shallow end"),
        ("deep", "depth at the deep end"),
    )
)
_TEMP = Key("temp", "°C", "water temperature")
_MASS_BALANCE = "mass balance"
_PSS = "Practical Salinity Scale 1978, UNESCO Tech. Pap. Mar. Sci. 44; below 2 Hill et al. 1986 (both from memory)"

WATER = (
    Entry(
        "salt-dose",
        "salt that brings the pool to a target",
        (
            VOLUME,
            Key("now", "ppm", "salt now"),
            Key("target", "ppm", "salt wanted"),
            Key("purity", "share", "share of the product that is salt", 1.0),
            Key("bag", "kg", "size of a bag", 25.0),
        ),
        _salt_dose,
        _MASS_BALANCE,
        ("not_on_undissolved_salt",),
        example="volume=50 now=1200 target=3200",
    ),
    Entry(
        "dilute",
        "water to replace where there is too much of something",
        (
            VOLUME,
            Key("now", "ppm", "concentration now"),
            Key("target", "ppm", "concentration wanted"),
            Key("fill", "ppm", "that of the fill water", 0.0),
        ),
        _dilute,
        "mass balance; overflow as the washout of a stirred tank",
        example="volume=50 now=5000 target=3500 fill=200",
    ),
    Entry(
        "salt-from-conductivity",
        "salt from a conductivity meter, compensated for temperature",
        (Key("conductivity", "mS/cm", "conductivity at the water's temperature"), _TEMP),
        _salt_from_conductivity,
        _PSS,
        example="conductivity=6.5 temp=25",
    ),
    Entry(
        "conductivity-from-salt",
        "conductivity of water of known salt",
        (Key("salinity", "SP", "practical salinity; 3.2 means about 3200 ppm"), _TEMP),
        _conductivity_from_salt,
        _PSS,
        example="salinity=3.2 temp=18",
    ),
    Entry(
        "volume-from-salt",
        "pool volume from the rise that a known amount of salt made",
        (Key("salt", "kg", "salt added"), Key("before", "ppm", "salt before"), Key("after", "ppm", "salt after")),
        _volume_from_salt,
        _MASS_BALANCE,
        ("not_on_undissolved_salt",),
        example="salt=40 before=2400 after=3200",
    ),
    Entry(
        "pool-volume",
        "pool volume from its measures",
        (Key("shape", "", "its shape", choices=tuple(_MEASURES)), *_LENGTH_KEYS),
        _pool_volume,
        "geometry; the kidney's factor 0.45 is common practice",
        example="shape=rectangle length=10 width=5 shallow=1 deep=2",
    ),
    Entry(
        "turnovers",
        "turnovers of the pump, and how much of the water has passed",
        (VOLUME, Key("flow", "m³/h", "flow"), Key("hours", "h", "running time")),
        _turnovers,
        "washout of a stirred tank",
        example="volume=50 flow=10 hours=15",
    ),
)
"""The computations of this part of the catalogue."""

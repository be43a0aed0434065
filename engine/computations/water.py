"""Catalogue: salt, dilution, conductivity, volume and mixing."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from engine.chlorinator import pool, water
from engine.chlorinator.limits import RangeError, require_above_zero
from engine.computations.types import Entry, Key, KeyedValue, Result, significant
from engine.foundation.texts import say, told
from engine.quantities.quantity import show_number, show_quantity

VOLUME = Key("volume", "m³", "volume")


def _salt_dose(given: KeyedValue) -> Result:
    volume, now, target = given.number("volume"), given.number("now"), given.number("target")
    purity, bag = given.number("purity"), given.number("bag")
    require_above_zero("bag", bag, "kg")
    salt = water.salt_dose_kg(volume, now, target, purity)
    # Rounding in the last digit must not make a full bag into two.
    bags = math.ceil(salt / bag - 1e-9)
    over = (bags * bag - salt) * purity * 1000 / volume
    bought = bags * bag
    return Result(
        {"salt_kg": salt, "bags": bags, "over_ppm": over},
        (
            say(
                "compute_water.salt_dose.need",
                volume=show_quantity(volume, "m³"), target=show_quantity(target, "ppm"), now=show_quantity(now, "ppm"),
                purity=show_number(purity, 3), salt=show_quantity(salt, "kg"),
            ),
            say(
                "compute_water.salt_dose.bags",
                bags=bags, bag=show_quantity(bag, "kg"), bought=show_quantity(bought, "kg"),
                over=show_quantity(round(over, 1), "ppm"), reached=show_quantity(target + round(over, 1), "ppm"),
            ),
        ),
        (say("compute_water.salt_dose.mass_is_volume"), say("compute_water.salt_mixes")),
    )  # fmt: skip


def _dilute(given: KeyedValue) -> Result:
    volume = given.number("volume")
    concentrations = given.number("now"), given.number("target"), given.number("fill")
    drain = water.drain_m3(volume, *concentrations)
    overflow = water.overflow_m3(volume, *concentrations)
    now, target, fill = (show_quantity(value, "ppm") for value in concentrations)
    pool_volume = show_quantity(volume, "m³")
    return Result(
        {"drain_m3": drain, "overflow_m3": overflow},
        (
            say(
                "compute_water.dilute.drain",
                volume=pool_volume, now=now, target=target, fill=fill,
                drain=show_quantity(drain, "m³"), percent=show_number(100 * drain / volume, 0),
            ),
            say(
                "compute_water.dilute.overflow",
                volume=pool_volume, now=now, target=target, fill=fill, overflow=show_quantity(overflow, "m³"),
            ),
        ),
        (say("compute_water.dilute.mixes"), say("compute_water.dilute.in_parts")),
    )  # fmt: skip


def _salt_from_conductivity(given: KeyedValue) -> Result:
    conductivity, temp = given.number("conductivity"), given.number("temp")
    salinity = water.practical_salinity(conductivity, temp)
    measured, at = show_quantity(conductivity, "mS/cm"), show_quantity(temp, "°C")
    shown = significant(salinity, 3)
    return Result(
        {"practical_salinity": salinity, "salt_ppm": 1000 * salinity},
        (
            say("compute_water.salt_from_conductivity.salinity", conductivity=measured, temp=at, salinity=shown),
            say("compute_water.salt_from_conductivity.salt", ppm=significant(1000 * salinity, 2)),
        ),
        (
            say("compute_water.salt_from_conductivity.worth"),
            say("compute_water.salt_from_conductivity.everything_conducts"),
            say("compute_water.salt_from_conductivity.sea_salt"),
        ),
    )


def _conductivity_from_salt(given: KeyedValue) -> Result:
    salinity, temp = given.number("salinity"), given.number("temp")
    conductivity = water.conductivity_ms_cm(salinity, temp)
    return Result(
        {"conductivity_ms_cm": conductivity},
        (
            say(
                "compute_water.conductivity_from_salt.found",
                salinity=significant(salinity, 3), ppm=significant(1000 * salinity, 2),
                temp=show_quantity(temp, "°C"), conductivity=significant(conductivity, 3),
            ),
        ),
        (say("compute_water.conductivity_from_salt.at"), say("compute_water.conductivity_from_salt.worth")),
    )  # fmt: skip


def _volume_from_salt(given: KeyedValue) -> Result:
    salt, before, after = given.number("salt"), given.number("before"), given.number("after")
    volume = water.volume_from_salt_m3(salt, before, after)
    percent = significant(7071 / (after - before), 1)
    return Result(
        {"volume_m3": volume},
        (
            f"{show_quantity(salt, 'kg')} x 1000 / ({show_quantity(after, 'ppm')} - {show_quantity(before, 'ppm')})"
            f" = {show_quantity(volume, 'm³')}",
        ),
        (say("compute_water.volume_from_salt.error", percent=percent), say("compute_water.salt_mixes")),
    )


_MEASURES = {
    "rectangle": ("length", "width"),
    "ellipse": ("length", "width"),
    "round": ("diameter",),
    "stadium": ("length", "width"),
    "kidney": ("length", "width", "width2"),
}


def _mean_depth(given: KeyedValue) -> float:
    """Give the depth, or the mean of an even slope."""
    depth, shallow, deep = given.maybe("depth"), given.maybe("shallow"), given.maybe("deep")
    if depth is not None and shallow is None and deep is None:
        return depth
    if depth is not None or shallow is None or deep is None:
        raise RangeError(*told("limits.depth_unclear"))
    require_above_zero("shallow_end", shallow, "m")
    require_above_zero("deep_end", deep, "m")
    return (shallow + deep) / 2


def _lengths(given: KeyedValue, shape: str) -> list[float]:
    """Give the lengths that a shape needs, and refuse those it has no use for."""
    needed = _MEASURES[shape]
    for name in ("length", "width", "width2", "diameter"):
        if (given.maybe(name) is None) == (name in needed):
            wanted = ", ".join(needed)
            if name in needed:
                raise RangeError(*told("limits.shape_lacks", shape=shape, measure=name, needed=wanted))
            raise RangeError(*told("limits.shape_has_no", shape=shape, measure=name, needed=wanted))
    return [given.number(name) for name in needed]


def _pool_volume(given: KeyedValue) -> Result:
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
    notes = [say("compute_water.pool_volume.sections"), say("compute_water.pool_volume.the_water")]
    if shape == "kidney":
        notes.insert(0, say("compute_water.pool_volume.kidney"))
    named, deep, found = say(f"compute_water.shapes.{shape}"), show_quantity(depth, "m"), show_quantity(volume, "m³")
    return Result(
        {"volume_m3": volume},
        (say("compute_water.pool_volume.found", shape=named, measures=measures, depth=deep, volume=found),),
        tuple(notes),
    )


def _turnovers(given: KeyedValue) -> Result:
    volume, flow, hours = given.number("volume"), given.number("flow"), given.number("hours")
    count = pool.turnovers(volume, flow, hours)
    share = pool.mixed_share(count)
    return Result(
        {"turnovers": count, "mixed_share": share},
        (
            say(
                "compute_water.turnovers.count",
                flow=show_quantity(flow, "m³/h"), hours=show_quantity(hours, "h"), volume=show_quantity(volume, "m³"),
                count=show_number(count, 2),
            ),
            say("compute_water.turnovers.share", count=show_number(count, 2), percent=show_number(100 * share, 1)),
        ),
        (say("compute_water.turnovers.mixing"),),
    )  # fmt: skip


_LENGTH_KEYS = tuple(
    Key(name, "m", name, optional=True)
    for name in ("length", "width", "width2", "diameter", "depth", "shallow", "deep")
)
_TEMP = Key("temp", "°C", "temp")

WATER = (
    Entry(
        "salt-dose",
        (
            VOLUME,
            Key("now", "ppm", "salt_now"),
            Key("target", "ppm", "salt_wanted"),
            Key("purity", "share", "purity", 1.0),
            Key("bag", "kg", "bag", 25.0),
        ),
        _salt_dose,
        "mass_balance",
        ("salting",),
        example="volume=50 now=1200 target=3200",
    ),
    Entry(
        "dilute",
        (
            VOLUME,
            Key("now", "ppm", "concentration_now"),
            Key("target", "ppm", "concentration_wanted"),
            Key("fill", "ppm", "fill", 0.0),
        ),
        _dilute,
        "washout_and_balance",
        example="volume=50 now=5000 target=3500 fill=200",
    ),
    Entry(
        "salt-from-conductivity",
        (Key("conductivity", "mS/cm", "conductivity"), _TEMP),
        _salt_from_conductivity,
        "practical_salinity",
        example="conductivity=6.5 temp=25",
    ),
    Entry(
        "conductivity-from-salt",
        (Key("salinity", "SP", "salinity"), _TEMP),
        _conductivity_from_salt,
        "practical_salinity",
        example="salinity=3.2 temp=18",
    ),
    Entry(
        "volume-from-salt",
        (Key("salt", "kg", "salt_added"), Key("before", "ppm", "salt_before"), Key("after", "ppm", "salt_after")),
        _volume_from_salt,
        "mass_balance",
        ("salting",),
        example="salt=40 before=2400 after=3200",
    ),
    Entry(
        "pool-volume",
        (Key("shape", "", "shape", choices=tuple(_MEASURES)), *_LENGTH_KEYS),
        _pool_volume,
        "geometry",
        example="shape=rectangle length=10 width=5 shallow=1 deep=2",
    ),
    Entry(
        "turnovers",
        (VOLUME, Key("flow", "m³/h", "flow"), Key("hours", "h", "hours")),
        _turnovers,
        "washout",
        example="volume=50 flow=10 hours=15",
    ),
)
"""The computations of this part of the catalogue."""

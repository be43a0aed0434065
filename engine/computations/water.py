"""Catalogue: salt, dilution, conductivity, volume and mixing."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from engine.chlorinator import pool, water
from engine.chlorinator.dose_limits import swaps_for
from engine.chlorinator.limits import RangeError, require_above_zero
from engine.computations.types import Entry, Key, KeyedValue, Result, significant
from engine.foundation.texts import say, told
from engine.quantities.quantity import show_number, show_quantity

WATER_C = (1, 45)
"""Water that somebody swims in, or a pool in winter; beyond it degrees Fahrenheit are meant."""
PH = (5, 10)
"""What tests of pools show."""
VOLUME = Key("volume", "m³", "volume", usual=(1, 2500))
_SALT = (100, 50_000)
"""From tap water to what is saltier than the sea, in ppm."""


def _salt_dose(given: KeyedValue) -> Result:
    volume, now, target, purity, bag = given.numbers("volume", "now", "target", "purity", "bag")
    require_above_zero("bag", bag, "kg")
    salt = water.salt_dose_kg(volume, now, target, purity)
    # Rounding in the last digit must not make a full bag into two.
    bags = math.ceil(salt / bag - 1e-9)
    over = (bags * bag - salt) * purity * 1000 / volume
    buying = {
        "bags": bags,
        "bought": show_quantity(bags * bag, "kg"),
        "over": show_quantity(round(over, 1), "ppm"),
        "reached": show_quantity(target + round(over, 1), "ppm"),
    }
    return Result(
        {"salt_kg": salt, "bags": bags, "over_ppm": over},
        (
            say("compute_water.salt_dose.need", **given.shown(salt=show_quantity(salt, "kg"))),
            say("compute_water.salt_dose.bags", **given.shown(**buying)),
        ),
        (say("compute_water.salt_dose.mass_is_volume"), say("compute_water.salt_mixes")),
    )


def _dilute(given: KeyedValue) -> Result:
    volume, now, target, fill = given.numbers("volume", "now", "target", "fill")
    drain = water.drain_m3(volume, now, target, fill)
    overflow = water.overflow_m3(volume, now, target, fill)
    swaps, shown = _swaps(given, drain / volume, volume)
    drained = given.shown(drain=show_quantity(drain, "m³"), percent=show_number(100 * drain / volume, 0))
    return Result(
        {"drain_m3": drain, "overflow_m3": overflow, **swaps},
        (
            say("compute_water.dilute.drain", **drained),
            say("compute_water.dilute.overflow", **given.shown(overflow=show_quantity(overflow, "m³"))),
            *shown,
        ),
        (say("compute_water.dilute.mixes"), say("compute_water.dilute.in_parts")),
    )


def _swaps(given: KeyedValue, share: float, volume: float) -> tuple[Mapping[str, float], tuple[str, ...]]:
    """The same in swaps of which none takes too much at once, and a line that tells them; none without limits."""
    if given.limits is None:
        return {}, ()
    swaps = swaps_for(share, given.limits.swap_at_once)
    figures = {"swaps": swaps.times, "each_m3": swaps.each * volume}
    most = show_number(100 * given.limits.swap_at_once, 0)
    each = show_quantity(figures["each_m3"], "m³")
    key = "in_one" if swaps.times == 1 else "in_swaps"
    return figures, (say(f"compute_water.dilute.{key}", times=swaps.times, each=each, most=most),)


def _salt_from_conductivity(given: KeyedValue) -> Result:
    salinity = water.practical_salinity(*given.numbers("conductivity", "temp"))
    shown = given.shown(salinity=significant(salinity, 3))
    return Result(
        {"practical_salinity": salinity, "salt_ppm": 1000 * salinity},
        (
            say("compute_water.salt_from_conductivity.salinity", **shown),
            say("compute_water.salt_from_conductivity.salt", ppm=significant(1000 * salinity, 2)),
        ),
        (
            say("compute_water.salt_from_conductivity.worth"),
            say("compute_water.salt_from_conductivity.everything_conducts"),
            say("compute_water.salt_from_conductivity.sea_salt"),
        ),
    )


def _conductivity_from_salt(given: KeyedValue) -> Result:
    salinity, temp = given.numbers("salinity", "temp")
    conductivity = water.conductivity_ms_cm(salinity, temp)
    shown = given.shown(ppm=significant(1000 * salinity, 2), conductivity=significant(conductivity, 3))
    return Result(
        {"conductivity_ms_cm": conductivity},
        (say("compute_water.conductivity_from_salt.found", **shown),),
        (say("compute_water.conductivity_from_salt.at"), say("compute_water.conductivity_from_salt.worth")),
    )


def _volume_from_salt(given: KeyedValue) -> Result:
    salt, before, after = given.numbers("salt", "before", "after")
    volume = water.volume_from_salt_m3(salt, before, after)
    percent, shown = significant(7071 / (after - before), 1), given.shown()
    return Result(
        {"volume_m3": volume},
        (f"{shown['salt']} x 1000 / ({shown['after']} - {shown['before']}) = {show_quantity(volume, 'm³')}",),
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
    count = pool.turnovers(*given.numbers("volume", "flow", "hours"))
    share = pool.mixed_share(count)
    shown = given.shown(count=show_number(count, 2), percent=show_number(100 * share, 1))
    return Result(
        {"turnovers": count, "mixed_share": share},
        (say("compute_water.turnovers.count", **shown), say("compute_water.turnovers.share", **shown)),
        (say("compute_water.turnovers.mixing"),),
    )


_LENGTH_KEYS = (
    *(Key(name, "m", name, optional=True, usual=(0.5, 60)) for name in ("length", "width", "width2", "diameter")),
    *(Key(name, "m", name, optional=True, usual=(0.2, 6)) for name in ("depth", "shallow", "deep")),
)
_TEMP = Key("temp", "°C", "temp", usual=WATER_C)

WATER = (
    Entry(
        "salt-dose",
        (
            VOLUME,
            Key("now", "ppm", "salt_now", usual=_SALT),
            Key("target", "ppm", "salt_wanted", usual=_SALT),
            Key("purity", "share", "purity", 1.0, usual=(0.5, 1), decimals=3),
            Key("bag", "kg", "bag", 25.0, usual=(1, 1200)),
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
            Key("now", "ppm", "concentration_now", usual=(10, 50_000)),
            Key("target", "ppm", "concentration_wanted", usual=(5, 50_000)),
            Key("fill", "ppm", "fill", 0.0, usual=(1, 10_000)),
        ),
        _dilute,
        "washout_and_balance",
        example="volume=50 now=5000 target=3500 fill=200",
    ),
    Entry(
        "salt-from-conductivity",
        (Key("conductivity", "mS/cm", "conductivity", usual=(0.1, 80)), _TEMP),
        _salt_from_conductivity,
        "practical_salinity",
        example="conductivity=6.5 temp=25",
    ),
    Entry(
        "conductivity-from-salt",
        (Key("salinity", "SP", "salinity", usual=(0.1, 42)), _TEMP),
        _conductivity_from_salt,
        "practical_salinity",
        example="salinity=3.2 temp=18",
    ),
    Entry(
        "volume-from-salt",
        (
            Key("salt", "kg", "salt_added", usual=(1, 5000)),
            Key("before", "ppm", "salt_before", usual=_SALT),
            Key("after", "ppm", "salt_after", usual=_SALT),
        ),
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
        (VOLUME, Key("flow", "m³/h", "flow", usual=(0.5, 100)), Key("hours", "h", "hours", usual=(0.1, 200))),
        _turnovers,
        "washout",
        example="volume=50 flow=10 hours=15",
    ),
)
"""The computations of this part of the catalogue."""

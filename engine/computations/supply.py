"""Catalogue: cable and transformer."""

from __future__ import annotations

from engine.chlorinator import supply
from engine.chlorinator.limits import require_above_zero
from engine.computations.types import Entry, Key, KeyedValue, Result
from engine.foundation.texts import say
from engine.quantities.quantity import figure, show_number, show_quantity


def _cable_drop(given: KeyedValue) -> Result:
    length, current, area, temp = given.numbers("length", "current", "area", "temp")
    drop = supply.cable_drop_v(length, current, area, temp)
    listed = area in supply.STANDARD_AREAS_MM2
    table = supply.standard_cable_drop_v(length, current, area, temp) if listed else None
    working = [say("compute_supply.cable_drop.drop", **given.shown(drop=show_quantity(drop, "V")))]
    if table is not None:
        working.append(say("compute_supply.cable_drop.at_the_limit", drop=show_quantity(table, "V")))
    percent, voltage = None, given.maybe("voltage")
    if voltage is not None:
        require_above_zero("voltage", voltage, "V")
        percent = 100 * drop / voltage
        working.append(say("compute_supply.cable_drop.share", **given.shown(percent=show_number(percent, 1))))
    notes = [say("compute_supply.cable_drop.contacts")]
    if not listed:
        areas = ", ".join(figure(size) for size in supply.STANDARD_AREAS_MM2)
        notes.insert(0, say("compute_supply.cable_drop.not_listed", areas=areas))
    return Result({"drop_v": drop, "drop_table_v": table, "percent": percent}, tuple(working), tuple(notes))


def _transformer(given: KeyedValue) -> Result:
    *output, mains = given.numbers("voltage", "current", "efficiency", "power_factor", "mains")
    apparent = supply.transformer_va(*output)
    mains_current = supply.transformer_mains_a(apparent, mains)
    shown = given.shown()
    return Result(
        {"va": apparent, "mains_a": mains_current},
        (
            f"{shown['voltage']} x {shown['current']} / ({shown['efficiency']} x {shown['power_factor']})"
            f" = {show_number(apparent, 0)} VA",
            say("compute_supply.transformer.from_mains", **given.shown(current=show_quantity(mains_current, "A"))),
        ),
        (say("compute_supply.transformer.fuse"),),
    )


SUPPLY = (
    Entry(
        "cable-drop",
        (
            Key("length", "m", "cable_length", usual=(0.1, 300)),
            Key("current", "A", "current", usual=(0.05, 200)),
            Key("area", "mm²", "area", usual=(0.3, 150)),
            Key("temp", "°C", "conductor_temp", 20.0, usual=(1, 120)),
            Key("voltage", "V", "supply_voltage", optional=True, usual=(1, 500)),
        ),
        _cable_drop,
        "cable",
        ("isolating", "mains"),
        example="length=3 current=20 area=4 temp=70 voltage=7.5",
    ),
    Entry(
        "transformer",
        (
            Key("voltage", "V", "dc_volts", usual=(1, 100)),
            Key("current", "A", "dc_amps", usual=(0.1, 100)),
            Key("efficiency", "share", "power_efficiency", usual=(0.2, 1), decimals=2),
            Key("power_factor", "share", "power_factor", usual=(0.2, 1), decimals=2),
            Key("mains", "V", "mains", 230.0, usual=(90, 500)),
        ),
        _transformer,
        "power_factor",
        ("fusing", "mains"),
        example="voltage=24 current=7 efficiency=0.85 power_factor=0.95",
    ),
)
"""The computations of this part of the catalogue."""

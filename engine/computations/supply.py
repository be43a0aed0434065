"""Catalogue: cable and transformer."""

from __future__ import annotations

from engine.chlorinator import supply
from engine.chlorinator.limits import require_above_zero
from engine.computations.form import Answer, Entry, Given, Key
from engine.quantities import show_number, show_quantity

__all__ = ["SUPPLY"]


def _cable_drop(given: Given) -> Answer:
    length, current, area, temp = (given.number(name) for name in ("length", "current", "area", "temp"))
    drop = supply.cable_drop_v(length, current, area, temp)
    listed = area in supply.STANDARD_AREAS_MM2
    table = supply.standard_cable_drop_v(length, current, area, temp) if listed else None
    voltage = given.maybe("voltage")
    percent = None
    if voltage is not None:
        require_above_zero("voltage", voltage, "V")
        percent = 100 * drop / voltage
    working = [
        f"2 x {show_quantity(length, 'm')} x {show_quantity(current, 'A')} x 0.01724 / {show_quantity(area, 'mm²')}"
        f" at {show_quantity(temp, '°C')} = {show_quantity(drop, 'V')}"
    ]
    if table is not None:
        working.append(f"a cable at the standard's limit loses {show_quantity(table, 'V')}")
    if percent is not None and voltage is not None:
        working.append(f"{show_number(percent, 1)} % of {show_quantity(voltage, 'V')}")
    notes = ["contacts come on top: 0.5 V of 7.5 V lost in a cell lead is 7 % and warms its plug"]
    if not listed:
        areas = ", ".join(f"{size:g}" for size in supply.STANDARD_AREAS_MM2)
        notes.insert(0, f"the standard's limit is known here for {areas} mm² only")
    return Answer({"drop_v": drop, "drop_table_v": table, "percent": percent}, tuple(working), tuple(notes))


def _transformer(given: Given) -> Answer:
    voltage, current, efficiency, factor, mains = (
        given.number(name) for name in ("voltage", "current", "efficiency", "power_factor", "mains")
    )
    apparent = supply.transformer_va(voltage, current, efficiency, factor)
    mains_current = supply.transformer_mains_a(apparent, mains)
    return Answer(
        {"va": apparent, "mains_a": mains_current},
        (
            f"{show_quantity(voltage, 'V')} x {show_quantity(current, 'A')} / ({show_number(efficiency, 2)} x"
            f" {show_number(factor, 2)}) = {show_number(apparent, 0)} VA",
            f"/ {show_quantity(mains, 'V')} = {show_quantity(mains_current, 'A')} from the mains",
        ),
        ("for plausibility only: replace a fuse by the rating and type marked on the unit, never a larger one",),
    )


SUPPLY = (
    Entry(
        "cable-drop",
        "voltage lost in a two-wire copper cable",
        (
            Key("length", "m", "one way"),
            Key("current", "A", "current"),
            Key("area", "mm²", "cross-section"),
            Key("temp", "°C", "conductor temperature", 20.0),
            Key("voltage", "V", "supply voltage", optional=True),
        ),
        _cable_drop,
        "IEC 60028 resistivity; IEC 60228 class 2 limits (both from memory)",
        ("isolate_and_prove_dead", "licensed_electrician"),
        example="length=3 current=20 area=4 temp=70 voltage=7.5",
    ),
    Entry(
        "transformer",
        "what a power pack takes from the mains",
        (
            Key("voltage", "V", "DC volts"),
            Key("current", "A", "DC amps"),
            Key("efficiency", "share", "output over input power"),
            Key("power_factor", "share", "real over apparent power"),
            Key("mains", "V", "mains voltage", 230.0),
        ),
        _transformer,
        "definitions of efficiency and power factor",
        ("fuse_as_marked", "licensed_electrician"),
        example="voltage=24 current=7 efficiency=0.85 power_factor=0.95",
    ),
)
"""The computations of this part of the catalogue."""

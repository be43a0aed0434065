"""Catalogue: free chlorine, its active share, sunlight, decay and doses by hand."""

from __future__ import annotations

from engine.chlorinator import disinfectant
from engine.computations.types import Entry, Key, KeyedValue, Result, significant
from engine.computations.water import PH, VOLUME, WATER_C
from engine.foundation.texts import say
from engine.quantities.quantity import figure, show_number, show_quantity


def _hocl(given: KeyedValue) -> Result:
    ph, temp = given.numbers("ph", "temp")
    fraction = disinfectant.hocl_fraction(ph, temp)
    shown = given.shown(pka=figure(disinfectant.hocl_pka(temp), ".2f"), percent=show_number(100 * fraction, 0))
    return Result(
        {"fraction": fraction},
        (say("compute_disinfectant.hocl.share", **shown),),
        (say("compute_disinfectant.hocl.salt"),),
    )


def _sun(given: KeyedValue) -> Result:
    ph, temp = given.numbers("ph", "temp")
    minutes = disinfectant.sun_half_life_min(ph, temp)
    percent = show_number(100 * disinfectant.hocl_fraction(ph, temp), 0)
    return Result(
        {"minutes": minutes},
        (say("compute_disinfectant.sun.half", percent=percent, minutes=significant(minutes, 2)),),
        (say("compute_disinfectant.sun.at_the_surface"), say("compute_disinfectant.sun.over_depth")),
    )


def _split(given: KeyedValue) -> Result:
    ph, fc, cya, temp = given.numbers("ph", "fc", "cya", "temp")
    model = given.word("model")
    split = disinfectant.free_chlorine_split(ph, fc, cya, temp, model)
    free, hocl = significant(split.free_mg_l, 1), significant(split.hocl_mg_l, 1)
    working = [
        say(
            "compute_disinfectant.split.found",
            **given.shown(free=free, hocl=hocl, model=say(f"compute_disinfectant.models.{model}")),
        )
    ]
    if fc > 0 and cya > 0:
        working.append(say("compute_disinfectant.split.ratio", **given.shown(ratio=show_number(cya / fc, 0))))
    note = say("compute_disinfectant.split.worth" if cya > 0 else "compute_disinfectant.split.all_unbound")
    return Result({"hocl_mg_l": split.hocl_mg_l, "free_mg_l": split.free_mg_l}, tuple(working), (note,))


def _chlorine_up(given: KeyedValue) -> Result:
    volume, rise, strength = given.numbers("volume", "by", "strength")
    chlorine = show_quantity(volume * rise, "g")
    if given.word("form") == "liquid":
        litres = disinfectant.hypochlorite_l(volume, rise, strength)
        grams = f"{show_number(10 * strength, 1)} g/L"
        shown = given.shown(chlorine=chlorine, strength=grams, product=show_quantity(litres, "L"))
        return Result(
            {"product_l": litres},
            (say("compute_disinfectant.chlorine_up.liquid", **shown),),
            (say("compute_disinfectant.chlorine_up.by_volume"), say("compute_disinfectant.chlorine_up.in_store")),
        )
    mass = disinfectant.hypochlorite_kg(volume, rise, strength)
    shown = given.shown(chlorine=chlorine, product=show_quantity(mass, "kg"))
    return Result(
        {"product_kg": mass},
        (say("compute_disinfectant.chlorine_up.granules", **shown),),
        (say("compute_disinfectant.chlorine_up.by_mass"), say("compute_disinfectant.chlorine_up.label")),
    )


def _chlorine_down(given: KeyedValue) -> Result:
    grams = disinfectant.thiosulfate_g(*given.numbers("volume", "now", "target"))
    ratio = figure(disinfectant.THIOSULFATE_PER_CHLORINE, ".3f")
    return Result(
        {"thiosulfate_g": grams},
        (say("compute_disinfectant.chlorine_down.dose", **given.shown(ratio=ratio, dose=show_quantity(grams, "g"))),),
        (
            say("compute_disinfectant.chlorine_down.in_parts"),
            say("compute_disinfectant.chlorine_down.reckoned"),
            say("compute_disinfectant.chlorine_down.waiting"),
        ),
    )


def _decay(given: KeyedValue) -> Result:
    left = disinfectant.chlorine_left_ppm(*given.numbers("now", "half_life", "hours"))
    shown = given.shown()
    return Result(
        {"left_ppm": left},
        (f"{shown['now']} x {figure(0.5)}^({shown['hours']} / {shown['half_life']}) = {show_quantity(left, 'ppm')}",),
        (say("compute_disinfectant.decay.assumes"),),
    )


_PH = Key("ph", "pH", "ph", usual=PH, decimals=2)
_TEMP = Key("temp", "°C", "temp", usual=WATER_C)
_FREE = (0.0, 1000.0)
_CHLORINE = (0.05, 100)
"""What tests of pools show, in ppm, and more than any dose."""

DISINFECTANT = (
    Entry("sun-half-life", (_PH, _TEMP), _sun, "sunlight", example="ph=7.5 temp=25"),
    Entry("hocl", (_PH, _TEMP), _hocl, "hocl", example="ph=7.5 temp=25"),
    Entry(
        "free-chlorine-split",
        (
            _PH,
            Key("fc", "ppm", "free_chlorine", possible=_FREE, usual=_CHLORINE),
            Key("cya", "ppm", "stabiliser", possible=_FREE, usual=(1, 500)),
            Key("temp", "°C", "temp_of_model", 25.0, usual=WATER_C),
            Key("model", "", "model", disinfectant.SPLIT_MODELS[0], choices=disinfectant.SPLIT_MODELS),
        ),
        _split,
        "split",
        example="ph=7.5 fc=3 cya=50",
    ),
    Entry(
        "chlorine-up",
        (
            VOLUME,
            Key("by", "ppm", "chlorine_rise", possible=_FREE, usual=_CHLORINE),
            Key("strength", "%", "available_chlorine", usual=(1, 95)),
            Key("form", "", "form", "liquid", choices=("liquid", "granules")),
        ),
        _chlorine_up,
        "mass_balance",
        ("gas", "splashing", "storing", "dosing", "low_test"),
        example="volume=50 by=3 strength=12.5 form=liquid",
    ),
    Entry(
        "chlorine-down",
        (
            VOLUME,
            Key("now", "ppm", "chlorine_now", possible=_FREE, usual=_CHLORINE),
            Key("target", "ppm", "chlorine_target", possible=_FREE, usual=_CHLORINE),
        ),
        _chlorine_down,
        "thiosulfate",
        ("dosing",),
        example="volume=50 now=15 target=5",
    ),
    Entry(
        "chlorine-decay",
        (
            Key("now", "ppm", "chlorine_now", possible=_FREE, usual=_CHLORINE),
            Key("half_life", "h", "half_life", possible=(0, 1000), usual=(0.05, 200)),
            Key("hours", "h", "time_passed", possible=(0, 1000), usual=(0.01, 500)),
        ),
        _decay,
        "decay",
        example="now=3 half_life=35min hours=2",
    ),
)
"""The computations of this part of the catalogue."""

"""Catalogue: free chlorine, its active share, sunlight, decay and doses by hand."""

from __future__ import annotations

from engine.chlorinator import disinfectant
from engine.computations.form import Answer, Entry, Given, Key, significant
from engine.computations.water import VOLUME
from engine.quantities import show_number, show_quantity

__all__ = ["DISINFECTANT"]

_SPLIT_NOTE = "one significant figure: the two published models differ by a third at usual values, and are never mixed"
_MODEL_NAMES = {"obrien": "O'Brien, 25 °C", "wahman": "Wahman"}


def _hocl(given: Given) -> Answer:
    ph, temp = given.number("ph"), given.number("temp")
    fraction = disinfectant.hocl_fraction(ph, temp)
    return Answer(
        {"fraction": fraction},
        (
            f"pKa {disinfectant.hocl_pka(temp):.2f} at {show_quantity(temp, '°C')}; at pH {show_number(ph, 2)}"
            f" {show_number(100 * fraction, 0)} % is hypochlorous acid",
        ),
        ("without stabiliser; pool salt lowers the pKa by about 0.09, which takes some 5 % off at pH 7.5",),
    )


def _sun(given: Given) -> Answer:
    ph, temp = given.number("ph"), given.number("temp")
    minutes = disinfectant.sun_half_life_min(ph, temp)
    share = 100 * disinfectant.hocl_fraction(ph, temp)
    return Answer(
        {"minutes": minutes},
        (
            f"{show_number(share, 0)} % hypochlorous acid at 0.0002 /s, the rest at 0.0012 /s:"
            f" half is gone in {significant(minutes, 2)} min",
        ),
        (
            "at the surface, clear summer noon, without stabiliser: an upper bound of the loss",
            "averaged over one or two metres of depth, 1 to 2 h is usual (from memory)",
        ),
    )


def _split(given: Given) -> Answer:
    ph, fc, cya, temp = (given.number(name) for name in ("ph", "fc", "cya", "temp"))
    model = given.word("model")
    split = disinfectant.free_chlorine_split(ph, fc, cya, temp, model)
    hocl, free = significant(split.hocl_mg_l, 1), significant(split.free_mg_l, 1)
    working = [
        f"of {show_quantity(fc, 'ppm')} free chlorine about {free} ppm is not bound to stabiliser,"
        f" about {hocl} ppm is hypochlorous acid (model: {_MODEL_NAMES[model]})"
    ]
    if fc > 0 and cya > 0:
        working.append(
            f"{show_quantity(cya, 'ppm')} of stabiliser to {show_quantity(fc, 'ppm')} of chlorine is"
            f" {show_number(cya / fc, 0)} to 1; it is this ratio that counts"
        )
    return Answer(
        {"hocl_mg_l": split.hocl_mg_l, "free_mg_l": split.free_mg_l},
        tuple(working),
        (_SPLIT_NOTE if cya > 0 else "without stabiliser all of it is unbound; the acid's share as in hocl",),
    )


def _chlorine_up(given: Given) -> Answer:
    volume, rise, strength = given.number("volume"), given.number("by"), given.number("strength")
    chlorine = show_quantity(volume * rise, "g")
    need = f"{show_quantity(volume, 'm³')} x {show_quantity(rise, 'ppm')} = {chlorine} of chlorine"
    if given.word("form") == "liquid":
        litres = disinfectant.hypochlorite_l(volume, rise, strength)
        return Answer(
            {"product_l": litres},
            (f"{need}; / {show_number(10 * strength, 1)} g/L = {show_quantity(litres, 'L')} of liquid chlorine",),
            (
                "strength taken as g of available chlorine in 100 mL",
                "liquid chlorine loses strength in store: test afterwards",
            ),
        )
    mass = disinfectant.hypochlorite_kg(volume, rise, strength)
    return Answer(
        {"product_kg": mass},
        (f"{need}; / {show_number(strength, 1)} % = {show_quantity(mass, 'kg')} of granules",),
        (
            "strength taken as available chlorine by mass",
            "stabilised granules add cyanuric acid, others calcium: read the label",
        ),
    )


def _chlorine_down(given: Given) -> Answer:
    volume, now, target = given.number("volume"), given.number("now"), given.number("target")
    dose = disinfectant.thiosulfate_g(volume, now, target)
    return Answer(
        {"thiosulfate_g": dose},
        (
            f"{show_quantity(volume, 'm³')} x ({show_quantity(now, 'ppm')} - {show_quantity(target, 'ppm')}) x"
            f" {disinfectant.THIOSULFATE_PER_CHLORINE:.3f} = {show_quantity(dose, 'g')} of sodium"
            " thiosulfate pentahydrate",
        ),
        (
            "start below this, circulate and test, then repeat: too much eats the chlorine made next",
            "reckoned for oxidation to sulfate; practice uses 1 to 2 g for each g of chlorine",
            "waiting with the cell off costs nothing and is often enough",
        ),
    )


def _decay(given: Given) -> Answer:
    now, half_life, hours = given.number("now"), given.number("half_life"), given.number("hours")
    left = disinfectant.chlorine_left_ppm(now, half_life, hours)
    return Answer(
        {"left_ppm": left},
        (
            f"{show_quantity(now, 'ppm')} x 0.5^({show_quantity(hours, 'h')} / {show_quantity(half_life, 'h')})"
            f" = {show_quantity(left, 'ppm')}",
        ),
        ("assumes a loss in proportion to what is there, and none made meanwhile",),
    )


_PH = Key("ph", "pH", "pH")
_TEMP = Key("temp", "°C", "water temperature")
_FREE = (0.0, 1000.0)
_MORRIS = "Morris 1966, J. Phys. Chem. 70, 3798 (from memory)"

DISINFECTANT = (
    Entry(
        "sun-half-life",
        "half-life of chlorine without stabiliser in full sun",
        (_PH, _TEMP),
        _sun,
        f"Nowell & Hoigné 1992, Water Research 26, 593; {_MORRIS}",
        example="ph=7.5 temp=25",
    ),
    Entry(
        "hocl",
        "share of unbound chlorine that is hypochlorous acid",
        (_PH, _TEMP),
        _hocl,
        _MORRIS,
        example="ph=7.5 temp=25",
    ),
    Entry(
        "free-chlorine-split",
        "free chlorine not bound to stabiliser, and the acid in it",
        (
            _PH,
            Key("fc", "ppm", "free chlorine by test", possible=_FREE),
            Key("cya", "ppm", "cyanuric acid", possible=_FREE),
            Key("temp", "°C", "water temperature; obrien holds at 25 only", 25.0),
            Key("model", "", "set of constants", "obrien", choices=disinfectant.SPLIT_MODELS),
        ),
        _split,
        "obrien: O'Brien, Morris & Butler 1974 (from memory); wahman: Wahman & Alexander 2019, Environ."
        " Eng. Sci. 36, 283",
        example="ph=7.5 fc=3 cya=50",
    ),
    Entry(
        "chlorine-up",
        "chlorine by hand",
        (
            VOLUME,
            Key("by", "ppm", "rise of free chlorine", possible=_FREE),
            Key("strength", "%", "available chlorine on the label"),
            Key("form", "", "kind of product", "liquid", choices=("liquid", "granules")),
        ),
        _chlorine_up,
        "mass balance",
        ("acid_never_with_chlorine", "splash_protection", "store_apart", "swimmers_out", "bleached_test"),
        example="volume=50 by=3 strength=12.5 form=liquid",
    ),
    Entry(
        "chlorine-down",
        "thiosulfate that takes chlorine out",
        (
            VOLUME,
            Key("now", "ppm", "free chlorine now", possible=_FREE),
            Key("target", "ppm", "free chlorine wanted", possible=_FREE),
        ),
        _chlorine_down,
        "S2O3(2-) + 4 HOCl + H2O -> 2 SO4(2-) + 4 Cl- + 6 H+",
        ("swimmers_out", "bleached_test"),
        example="volume=50 now=15 target=5",
    ),
    Entry(
        "chlorine-decay",
        "chlorine left after some hours",
        (
            Key("now", "ppm", "free chlorine now", possible=_FREE),
            Key("half_life", "h", "half-life", possible=(0, 1000)),
            Key("hours", "h", "time passed", possible=(0, 1000)),
        ),
        _decay,
        "first-order decay",
        example="now=3 half_life=35min hours=2",
    ),
)
"""The computations of this part of the catalogue."""

"""Rules for the limits of doses: all of them there, each within reason, and no unit made for more."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engine.chlorinator.dose_limits import LIMIT_NAMES
from engine.foundation.problems import Problem, advice_for
from engine.foundation.texts import say, told
from engine.knowledge.catalogue import Folder

WITHIN: Mapping[str, tuple[float, float]] = {
    "cleaning_mix_water": (5, 50),
    "salt_most": (1000, 45_000),
    "ph_least": (6.8, 7.4),
    "strong_dose_least": (5, 10),
    "chlorine_at_once": (10, 30),
    "water_first_combined": (1, 5),
    "water_first_stabiliser": (50, 200),
    "hours_after_acid": (1, 48),
    "soda_ash_at_once": (5, 40),
    "swap_at_once": (0.05, 0.5),
    "swaps_most": (1, 6),
    "pool_least": (0.5, 20),
    "pool_most": (50, 2500),
}
"""What no limit may pass, whoever sets it: judgement; a pool of 2500 m³ is one of 50 m."""


def every_limit_is_set(folder: Folder) -> Iterator[Problem]:
    """limits.yaml sets each limit that doses go by, and no other.

    Right: `limit: chlorine_at_once` with `is: 20`.
    Wrong: `limit: chlorine_for_today` with `is: 20`.
    """
    for name in LIMIT_NAMES:
        if folder.lacks("limit", name):
            yield Problem(f"{folder.name}/limits.yaml", 1, 1, *told("mistakes_rules.limits.not_set", limit=name))
    for name, placed in folder.limits.items():
        if name not in LIMIT_NAMES:
            what = say("mistakes_rules.limits.unknown", limit=name)
            yield placed.problem(("limit",), what, advice_for(name, LIMIT_NAMES))


def limits_are_within_reason(folder: Folder) -> Iterator[Problem]:
    """No limit lies beyond what anybody in the trade would take.

    Right: `limit: cleaning_mix_water` with `is: 10`.
    Wrong: `limit: cleaning_mix_water` with `is: 0.1`, which is ten of acid to one of water.
    """
    for name, (low, high) in WITHIN.items():
        placed = folder.limits.get(name)
        if placed is not None and not low <= placed.form.is_ <= high:
            value = f"{placed.form.is_:g}"
            saying = told("mistakes_rules.limits.beyond", value=value, low=f"{low:g}", high=f"{high:g}")
            yield placed.problem(("is",), *saying)


def no_unit_is_made_for_more_salt(folder: Folder) -> Iterator[Problem]:
    """The salt that a unit is dosed to is no more than the limit `salt_most`.

    Right: `salt: {stop: 2400, low: 2800, ideal: 3600, high: 4500}` with `salt_most` at 6000.
    Wrong: `salt: {stop: 30000, low: 32000, ideal: 35000, high: 40000}` with `salt_most` at 6000.
    """
    most = folder.limits.get("salt_most")
    for placed in folder.units.values() if most is not None else ():
        ideal = placed.form.salt.ideal
        if most is not None and ideal > most.form.is_:
            saying = told("mistakes_rules.limits.too_salty", ideal=f"{ideal:g}", most=f"{most.form.is_:g}")
            yield placed.problem(("salt", "ideal"), *saying)

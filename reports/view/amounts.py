"""How much of what: doses and settings worked out from the readings, or what is missing for them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from engine.chlorinator.cell import chlorine_need_g_day, full_output_hours, output_percent
from engine.chlorinator.disinfectant import hypochlorite_l
from engine.chlorinator.limits import RangeError
from engine.chlorinator.minerals import cyanuric_acid_kg
from engine.chlorinator.water import drain_m3, salt_dose_kg
from engine.model import PartNeed, Repair
from engine.quantities import show_quantity
from engine.readings import ordinary_demand_ppm_day
from reports.view.acidwork import bicarbonate, cleaning_amounts
from reports.view.known import USUAL_WATER_C, VOLUME, Known, two_digits, whole
from reports.view.model import Amount

__all__ = ["AS_COMPUTED", "chlorine_range", "hand_dose", "part_amount", "work_amounts"]

AS_COMPUTED = "as computed"

_LIQUID_STRENGTH_PERCENT = 12.0
"""The liquid chlorine that a dose is told for as an example; about 12 % is usual in the trade: common practice."""
_STRONG_DOSE_PPM = 10.0
"""Least rise for a superchlorination, and ten times the combined chlorine: common practice, no source."""
_SIZED_AT = 2.0 / 3.0
"""Share of full output at which a new unit should carry an ordinary week: common practice, no source."""
_SPARING_SETTING = 0.75
"""Hours are told for this setting, so that a hot week still finds something to raise: common practice."""


def part_amount(need: PartNeed, repair: Repair, known: Known) -> Amount:
    """How much of a part a repair takes: as written, or worked out where the knowledge says `as computed`."""
    if need.amount != AS_COMPUTED:
        return Amount(need.amount)
    compute = _PARTS.get(need.part)
    if compute is None:
        return Amount("not worked out here", "Have it worked out before it is sold or used.")
    try:
        return compute(repair, known)
    except RangeError as error:
        return Amount("not worked out", f"The readings give no dose: {error}.")


def work_amounts(repair: Repair, known: Known) -> tuple[Amount, ...]:
    """Amounts of a repair that are not of a part: water to swap, settings to make, mixes."""
    compute = _WORK.get(repair.id)
    try:
        return () if compute is None else compute(repair, known)
    except RangeError as error:
        return (Amount("not worked out", f"The readings give no answer: {error}."),)


def chlorine_range(known: Known) -> tuple[float, float] | None:
    """Free chlorine that counts as it should be, ppm, by the bands of the chlorine test."""
    return known.limits("free_chlorine", "fine")


def hand_dose(known: Known) -> Amount:
    """Chlorine by hand that brings the pool to the middle of its range, or what each ppm takes."""
    between = chlorine_range(known)
    now = known.numbers.get("free_chlorine", known.numbers.get("owner_test"))
    if between is None or now is None:
        return _chlorine(known, 1.0, "That raises the test by 1 ppm")
    rise = (between[0] + between[1]) / 2 - now
    if rise <= 0:
        return Amount("none", f"The test shows {show_quantity(now, 'ppm')}.")
    return _chlorine(known, rise, f"From {show_quantity(now, 'ppm')} to {show_quantity(now + rise, 'ppm')}")


def _chlorine(known: Known, rise_ppm: float, purpose: str) -> Amount:
    """Liquid chlorine for a rise, told for one strength."""
    volume = known.numbers.get("pool_volume")
    litres = hypochlorite_l(volume or 10.0, rise_ppm, _LIQUID_STRENGTH_PERCENT)
    much = show_quantity(litres, "L") if litres >= 1 else show_quantity(two_digits(litres * 1000), "mL")
    each = "" if volume else ", for each 10 m³ (10 000 L) of water"
    where = f" in {show_quantity(volume, 'm³')}" if volume else ""
    return Amount(
        f"about {much} of liquid chlorine whose label says {show_quantity(_LIQUID_STRENGTH_PERCENT, '%')}{each}",
        f"{purpose}{where}. Of twice that strength take half as much, and so on. The label wins over this figure.",
        () if volume else (VOLUME,),
    )


def _salt(_: Repair, known: Known) -> Amount:
    now, volume = known.numbers.get("tested_salt"), known.numbers.get("pool_volume")
    target = known.unit.values["salt.ideal"]
    if now is None:
        return Amount("not worked out yet", missing=("a salt test of the water", *(() if volume else (VOLUME,))))
    if now >= target:
        return Amount("none", f"The test shows {show_quantity(now, 'ppm')}; {show_quantity(target, 'ppm')} is enough.")
    span = f"from {show_quantity(now, 'ppm')} to {show_quantity(target, 'ppm')}"
    if volume is None:
        each = salt_dose_kg(1.0, now, target)
        return Amount(f"{show_quantity(each, 'kg')} for each m³ (1000 L) of water", f"{span.capitalize()}.", (VOLUME,))
    dose = salt_dose_kg(volume, now, target)
    return Amount(
        f"about {whole(dose, 'kg')}, of it {whole(dose * 2 / 3, 'kg')} first",
        f"{span.capitalize()} in {show_quantity(volume, 'm³')}: "
        f"{show_quantity(volume, 'm³')} x {show_quantity(target - now, 'ppm')} / 1000, for plain salt. "
        "Volumes are seldom known better than to a sixth, so test a day later, before the rest goes in.",
    )


def _stabiliser(_: Repair, known: Known) -> Amount:
    now, volume = known.numbers.get("stabiliser"), known.numbers.get("pool_volume")
    right, check = known.limits("stabiliser", "right"), known.knowledge.checks.get("stabiliser")
    if now is None or right is None or check is None:
        return Amount("not worked out yet", missing=("a stabiliser test", *(() if volume else (VOLUME,))))
    target = right[0] + known.two_errors(check, right[0])
    if now >= target:
        return Amount("none", f"The test shows {show_quantity(now, 'ppm')}; {show_quantity(target, 'ppm')} is enough.")
    span = f"From {show_quantity(now, 'ppm')} to {show_quantity(target, 'ppm')}"
    dose = cyanuric_acid_kg(volume or 1.0, target - now)
    if volume is None:
        return Amount(f"{show_quantity(dose * 1000, 'g')} for each m³ (1000 L) of water", f"{span}.", (VOLUME,))
    return Amount(
        f"about {show_quantity(dose, 'kg')}",
        f"{span} in {show_quantity(volume, 'm³')}. Count in what stabilised chlorine brought lately. "
        "The local code may ask for less.",
    )


def _chlorine_by_hand(repair: Repair, known: Known) -> Amount:
    if repair.id != "superchlorinate":
        return hand_dose(known)
    rise = max(_STRONG_DOSE_PPM, 10.0 * known.numbers.get("combined_chlorine", 0.0))
    dose = _chlorine(known, rise, f"For a rise of {show_quantity(rise, 'ppm')}")
    more = " Where the test shows much stabiliser, it takes more."
    return Amount(dose.text, dose.working + more, dose.missing)


def _water_to_swap(_: Repair, known: Known) -> tuple[Amount, ...]:
    """Share of the water to let out and fill afresh, for what there is too much of."""
    found = []
    for check, band, target in (
        ("tested_salt", "right", known.unit.values["salt.ideal"]),
        ("stabiliser", "right", None),
    ):
        now, limits = known.numbers.get(check), known.limits(check, band)
        if now is None or limits is None or now <= limits[1]:
            continue
        item = known.knowledge.checks[check]
        wanted = limits[1] - known.two_errors(item, limits[1]) if target is None else target
        found.append((drain_m3(1.0, now, wanted), check, now, wanted))
    if not found:
        return (Amount("share of water not worked out yet", missing=("the test that is too high",)),)
    share, check, now, wanted = max(found)
    volume = known.numbers.get("pool_volume")
    much = f", {whole(share * volume, 'm³')} of {show_quantity(volume, 'm³')}" if volume else ""
    name = known.knowledge.checks[check].wording.technician
    return (
        Amount(
            f"about {round(100 * share)} % of the water{much}",
            f"{name} from {show_quantity(now, 'ppm')} to {show_quantity(wanted, 'ppm')}, let out first and then filled "
            "up with water that holds none. Never more than a third at a time.",
            () if volume else (VOLUME,),
        ),
    )


def _output(_: Repair, known: Known) -> tuple[Amount, ...]:
    """Setting and hours that carry an ordinary pool of this size."""
    numbers = known.numbers
    volume, hours = numbers.get("pool_volume"), numbers.get("run_hours")
    rate = numbers.get("rated_output", known.unit.values["rated.chlorine"])
    rate_missing = (
        () if "rated_output" in numbers else (f"the output on the unit's label, taken as {show_quantity(rate, 'g/h')}",)
    )
    if volume is None or not hours:
        lacks = [(volume, VOLUME), (hours, "the pump's hours a day")]
        missing = (*(text for value, text in lacks if not value), *rate_missing)
        return (Amount("not worked out yet", missing=missing),)
    warmth = known.water_c if known.water_c is not None else USUAL_WATER_C
    need = chlorine_need_g_day(volume, ordinary_demand_ppm_day(warmth))
    setting = output_percent(need, rate, hours)
    full = full_output_hours(need, rate)
    if full > 24:
        text = "more than this unit makes, even day and night"
    elif setting > 100:
        spare = math.ceil(full / _SPARING_SETTING)
        text = f"about {spare} h a day at 75 %" if spare <= 24 else f"about {math.ceil(full)} h a day at full output"
    else:
        text = f"about {min(100, 5 * math.ceil(setting / 5))} % at {show_quantity(hours, 'h')} a day"
    working = (
        f"An ordinary pool of {show_quantity(volume, 'm³')} at {show_quantity(warmth, '°C')} uses about "
        f"{whole(need, 'g')} of chlorine a day; the unit makes {show_quantity(rate, 'g/h')} at full output. "
        "Pools differ by half or double, so test for three days and trim."
    )
    return (Amount(text, working, rate_missing),)


def _size(_: Repair, known: Known) -> tuple[Amount, ...]:
    """Output that a larger unit needs, so that an ordinary week is carried with room to spare."""
    volume, hours = known.numbers.get("pool_volume"), known.numbers.get("run_hours")
    lacks = [(volume, VOLUME), (hours, "the pump's hours a day")]
    if not volume or not hours:
        return (Amount("size not worked out yet", missing=tuple(text for value, text in lacks if not value)),)
    warmth = max(known.water_c if known.water_c is not None else USUAL_WATER_C, USUAL_WATER_C)
    need = chlorine_need_g_day(volume, ordinary_demand_ppm_day(warmth))
    rate = need / min(hours, 24.0) / _SIZED_AT
    return (
        Amount(
            f"a unit of {whole(rate, 'g/h')} or more",
            f"An ordinary pool of {show_quantity(volume, 'm³')} at {show_quantity(warmth, '°C')} uses about "
            f"{whole(need, 'g')} of chlorine a day; in {show_quantity(hours, 'h')} at two thirds of full output. Pools "
            "differ by half or double: go by what this one uses, where that was measured.",
        ),
    )


_PARTS: Mapping[str, Callable[[Repair, Known], Amount]] = {
    "salt": _salt,
    "stabiliser": _stabiliser,
    "chlorine_for_hand_dosing": _chlorine_by_hand,
    "bicarbonate": bicarbonate,
}
_WORK: Mapping[str, Callable[[Repair, Known], tuple[Amount, ...]]] = {
    "replace_water": _water_to_swap,
    "raise_output": _output,
    "larger_unit": _size,
    "acid_clean": cleaning_amounts,
}

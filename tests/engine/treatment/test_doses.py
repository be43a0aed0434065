"""Doses as numbers, against mass balances worked by hand; what is missing is named by id, and no word is said."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.knowledge.properties import Decision
from engine.session.acts import Act
from engine.session.outcome import outcome_of
from engine.treatment.acid import CleaningMix, PhDose
from engine.treatment.amounts import Enough, NotYet, Outside
from engine.treatment.cautions import concerns
from engine.treatment.chlorine import ChlorineDose, WaterFirst, hand_dose, strong_dose
from engine.treatment.doses import PartDose, days_of_water, dose_to_put_right, part_dose, work_doses
from engine.treatment.minerals import MineralDose, SaltDose, WaterSwap, water_to_swap
from engine.treatment.order_of_work import LaidOut
from engine.treatment.output import Setting, UnitSize
from engine.treatment.readings import PoolReadings
from tests.reports.jobs import answers, job, opened
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
UNIT = KNOWLEDGE.units["default"]


def read(**numbers: float) -> PoolReadings:
    return PoolReadings(numbers, KNOWLEDGE, UNIT)


def part(name: str, repair: str, **numbers: float) -> PartDose:
    item = KNOWLEDGE.repairs[repair]
    return part_dose(next(need for need in item.parts if need.part == name), item, read(**numbers))


@given(st.floats(10, 120), st.floats(0, 3500))
def test_salt_that_was_dosed_is_what_the_water_then_holds(volume: float, now: float) -> None:
    """Mass balance: now + 1000 x kg / m³ is the ideal of the unit profile."""
    dose = part("salt", "add_salt", tested_salt=now, pool_volume=volume)
    assert isinstance(dose, SaltDose)
    assert now + 1000 * dose.kg(volume) / volume == pytest.approx(UNIT.values["salt.ideal"])
    assert dose.first_kg(volume) == pytest.approx(dose.kg(volume) * 2 / 3)


@given(st.floats(10, 120), st.floats(0, 39))
def test_stabiliser_that_was_dosed_is_what_the_water_then_holds(volume: float, now: float) -> None:
    """Mass balance, to 40 ppm: right begins at 30, and the test is good to 5."""
    dose = part("stabiliser", "add_stabiliser", stabiliser=now, pool_volume=volume)
    assert isinstance(dose, MineralDose)
    assert now + 1000 * dose.kg(volume) / volume == pytest.approx(40.0)


@given(st.floats(10, 120), st.floats(0, 0.99))
def test_chlorine_by_hand_is_what_the_water_then_holds(volume: float, now: float) -> None:
    """Liquid of 12 % holds 120 g of chlorine a litre; to 3 ppm, the middle of 1 to 5 (common practice, no source)."""
    dose = hand_dose(read(free_chlorine=now, pool_volume=volume))
    assert isinstance(dose, ChlorineDose)
    assert now + 120 * dose.litres(volume) / volume == pytest.approx(3.0)


def test_chlorine_that_was_tested_in_range_takes_none_but_what_the_stabiliser_asks_for() -> None:
    """1 to 5 ppm is common practice, no source; 80 ppm of cyanuric acid ask for 4 (20 to 1, Falk 2019, from memory)."""
    assert hand_dose(read(free_chlorine=1.2, stabiliser=20)) == Enough(1.2)
    dose = hand_dose(read(free_chlorine=1.2, stabiliser=80))
    assert isinstance(dose, ChlorineDose)
    assert dose.rise_ppm == pytest.approx(2.8)


@pytest.mark.parametrize(
    ("decision", "repair", "read_ppm", "due"),
    [
        ("nothing_to_repair", "explain_operation", None, False),
        ("check_at_home", "empty_baskets", None, False),
        ("check_at_home", "empty_baskets", 0.2, False),
        ("sell_and_treat", "replace_water", 0.2, True),
        ("bring_cell", "acid_clean", None, True),
        ("send_technician", "renew_power_pack", None, True),
        ("send_technician", "renew_power_pack", 2.0, False),
    ],
)
def test_chlorine_by_hand_is_for_a_unit_that_stays_without_and_a_test_that_is_not_in_range(
    decision: Decision, repair: str, read_ppm: float | None, due: bool
) -> None:
    told = answers(unit_power="lit") if read_ppm is None else answers(unit_power="lit", free_chlorine=read_ppm)
    session = job(*opened("phone", "no-output"), *told)
    outcome = outcome_of(session, Act("conclude", decision, repair=repair, why="settled"))
    readings = PoolReadings(outcome.numbers, KNOWLEDGE, UNIT)
    laid_out = [LaidOut(repair, decision, "first", 0.9)]
    assert concerns(outcome, laid_out, lambda: not isinstance(hand_dose(readings), Enough)).by_hand is due


@given(st.floats(4600, 17_000))
def test_swaps_leave_what_is_wanted_and_none_takes_more_than_a_third(salt: float) -> None:
    """After n swaps of a share s, (1 - s)^n of the salt is left (mass balance), here step by step."""
    swap = water_to_swap(read(tested_salt=salt, pool_volume=40))
    assert isinstance(swap, WaterSwap)
    assert swap.swaps.each <= 1 / 3 + 1e-9
    left = salt
    for _ in range(swap.swaps.times):
        left -= left * swap.swaps.each
    assert left == pytest.approx(swap.target) == UNIT.values["salt.ideal"]
    # Fewest first: with one swap less, thirds would not do.
    assert salt * (2 / 3) ** (swap.swaps.times - 1) > swap.target


def test_a_test_that_asks_for_nearly_all_of_the_water_is_doubted_first() -> None:
    """Sea water holds 35 000 ppm: to 3600 ppm takes six thirds, as (2/3)^5 = 0.13 and (2/3)^6 = 0.09 of it."""
    assert water_to_swap(read(tested_salt=35_000)) == NotYet(("test_doubted",), "swap")


@pytest.mark.parametrize("volume", [3.0, 30_000.0])
def test_no_dose_is_told_for_a_pool_that_no_household_has(volume: float) -> None:
    """5 to 500 m³ is judgement, and stands in limits.yaml; beyond, a dose is for each m³, and the size is asked."""
    doubted = read(pool_volume=volume, tested_salt=2600, stabiliser=10, free_chlorine=0.4, run_hours=8)
    assert doubted.volume_m3 is None
    dose = part("salt", "add_salt", tested_salt=2600, pool_volume=volume)
    assert isinstance(dose, SaltDose)
    assert dose.volume_m3 is None
    (told,) = work_doses(KNOWLEDGE.repairs["raise_output"], doubted)
    assert isinstance(told, Setting)
    assert (told.volume_m3, told.lacks) == (10.0, ("volume_doubted", "label"))


def test_what_is_missing_is_named_by_id() -> None:
    assert part("salt", "add_salt", unit_salt=1500) == NotYet(("salt", "volume"))
    assert part("stabiliser", "add_stabiliser", pool_volume=30) == NotYet(("stabiliser",))
    assert part("salt", "add_salt", tested_salt=3700) == Enough(3700, UNIT.values["salt.ideal"])
    (told,) = work_doses(KNOWLEDGE.repairs["raise_output"], read(rated_output=20))
    assert isinstance(told, Setting)
    assert told.lacks == ("volume", "hours")
    assert work_doses(KNOWLEDGE.repairs["larger_unit"], read(run_hours=9)) == (NotYet(("volume",), "size"),)
    assert water_to_swap(read(stabiliser=50)) == NotYet(("too_high",), "swap")
    (mix,) = work_doses(KNOWLEDGE.repairs["acid_clean"], read())
    assert isinstance(mix, CleaningMix)
    assert dose_to_put_right("ph", "high", read()) == NotYet(("ph", "alkalinity", "stabiliser", "volume"), "ph")


def test_a_reading_beyond_its_formula_gives_no_dose() -> None:
    assert dose_to_put_right("ph", "high", read(ph=9.6, alkalinity=100, stabiliser=30)) == Outside("ph")
    assert isinstance(dose_to_put_right("ph", "high", read(ph=8.0, alkalinity=100, stabiliser=30)), PhDose)
    assert isinstance(dose_to_put_right("ph", "high", read(ph=7.6)), Enough)
    assert dose_to_put_right("hardness", "high", read(hardness=900)) is None


def test_a_setting_carries_the_pool_in_the_hours_it_is_told_for() -> None:
    """Seven pools of ten of 45 m³ at 25 °C use no more than 118.9 g a day (2.2 ppm as the median: common practice, no
    source; 2.64 ppm by the lognormal with 0.35); what is made is at least that."""
    for rate, hours in ((10.0, 12.0), (20.0, 3.0), (6.7, 3.0), (5.0, 3.0)):
        numbers = read(pool_volume=45, rated_output=rate, run_hours=hours)
        (dose,) = work_doses(KNOWLEDGE.repairs["raise_output"], numbers)
        assert isinstance(dose, Setting)
        assert dose.hours is not None
        share = dose.percent / 100 if dose.percent is not None else 0.75 if dose.sparing else 1.0
        assert rate * dose.hours * share >= dose.need_g == pytest.approx(118.9, rel=1e-3)
    (size,) = work_doses(KNOWLEDGE.repairs["larger_unit"], read(pool_volume=45, run_hours=9))
    assert isinstance(size, UnitSize)
    assert size.rate_g_h * 9 * 2 / 3 == pytest.approx(99.0)


@given(st.floats(0, 10), st.floats(0, 300))
def test_a_strong_dose_is_never_more_than_goes_in_at_once_nor_told_before_water(combined: float, cya: float) -> None:
    """Ten times the combined chlorine, ten ppm at least (common practice, no source); the limits are judgement."""
    dose = strong_dose(read(combined_chlorine=combined, stabiliser=cya, pool_volume=50))
    if combined > 2 or cya > 100:
        assert isinstance(dose, WaterFirst)
        assert dose.tested_ppm > dose.limit_ppm
    else:
        assert isinstance(dose, ChlorineDose)
        assert dose.wanted_ppm == pytest.approx(max(10.0, 10 * combined))
        # 120 g of chlorine a litre: what goes in at once raises 50 m³ by 20 ppm at most.
        assert 10.0 <= 120 * dose.litres(50) / 50 <= 20.0 + 1e-9


def test_the_rest_of_a_strong_dose_waits_where_a_shop_takes_more_combined_chlorine_for_it() -> None:
    """With water first only above 5 ppm, 4 ppm want 40: 20 go in at once."""
    limits = replace(KNOWLEDGE.limits, water_first_combined=5.0)
    readings = PoolReadings({"combined_chlorine": 4.0}, replace(KNOWLEDGE, limits=limits), UNIT)
    assert strong_dose(readings) == ChlorineDose(20.0, None, wanted_ppm=40.0)


def test_the_cleaning_mix_is_never_stronger_than_the_knowledge_says() -> None:
    """0.2 L of acid in ten parts of water is 2 L; in twelve, 2.4 L."""
    for parts, water in ((10.0, 2.0), (12.0, 2.4)):
        limits = replace(KNOWLEDGE.limits, cleaning_mix_water=parts)
        readings = PoolReadings({}, replace(KNOWLEDGE, limits=limits), UNIT)
        mix = work_doses(KNOWLEDGE.repairs["acid_clean"], readings)[0]
        assert isinstance(mix, CleaningMix)
        assert (mix.water_l, mix.acid_l) == pytest.approx((water, 0.2))


@given(st.floats(10, 120), st.floats(4000, 9000))
def test_a_swap_of_water_is_not_over_before_it_is_filled_and_mixed(volume: float, salt: float) -> None:
    """Each swap: a hose of a cubic metre an hour, then a day's run of the pump (common practice, no source)."""
    swap = water_to_swap(read(tested_salt=salt, pool_volume=volume))
    if isinstance(swap, NotYet):
        return
    hours = swap.swaps.times * (swap.swaps.each * volume + 24)
    assert 24 * (swap.days - 1) < hours <= 24 * swap.days + 1e-6
    assert days_of_water(KNOWLEDGE.repairs["replace_water"], read(tested_salt=salt, pool_volume=volume)) == swap.days
    assert days_of_water(KNOWLEDGE.repairs["add_salt"], read(tested_salt=salt, pool_volume=volume)) == 0

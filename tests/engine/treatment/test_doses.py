"""Doses as numbers, against mass balances worked by hand; what is missing is named by id, and no word is said."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.treatment.acid import CleaningMix, PhDose
from engine.treatment.amounts import Enough, NotYet, Outside
from engine.treatment.chlorine import ChlorineDose, hand_dose, strong_dose
from engine.treatment.doses import PartDose, part_dose, work_doses
from engine.treatment.minerals import SaltDose, StabiliserDose, WaterSwap, water_to_swap
from engine.treatment.output import Setting, UnitSize
from engine.treatment.readings import PoolReadings
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
    assert isinstance(dose, StabiliserDose)
    assert now + 1000 * dose.kg(volume) / volume == pytest.approx(40.0)


@given(st.floats(10, 120), st.floats(0, 2.9))
def test_chlorine_by_hand_is_what_the_water_then_holds(volume: float, now: float) -> None:
    """Liquid of 12 % holds 120 g of chlorine a litre; to 3 ppm, the middle of 1 to 5 (common practice, no source)."""
    dose = hand_dose(read(free_chlorine=now, pool_volume=volume))
    assert isinstance(dose, ChlorineDose)
    assert now + 120 * dose.litres(volume) / volume == pytest.approx(3.0)


def test_a_swap_leaves_what_is_wanted() -> None:
    """What is left of 7200 ppm after half of the water went is 3600, the ideal."""
    swap = water_to_swap(read(tested_salt=7200, pool_volume=40))
    assert isinstance(swap, WaterSwap)
    assert swap.now * (1 - swap.share) == pytest.approx(swap.target) == UNIT.values["salt.ideal"]


def test_what_is_missing_is_named_by_id() -> None:
    assert part("salt", "add_salt", unit_salt=1500) == NotYet(("salt", "volume"))
    assert part("stabiliser", "add_stabiliser", pool_volume=30) == NotYet(("stabiliser",))
    assert part("salt", "add_salt", tested_salt=3700) == Enough(3700, UNIT.values["salt.ideal"])
    assert work_doses(KNOWLEDGE.repairs["raise_output"], read(rated_output=20)) == (NotYet(("volume", "hours")),)
    assert work_doses(KNOWLEDGE.repairs["larger_unit"], read(run_hours=9)) == (NotYet(("volume",), "size"),)
    assert water_to_swap(read(stabiliser=50)) == NotYet(("too_high",), "swap")
    mix, ph = work_doses(KNOWLEDGE.repairs["acid_clean"], read())
    assert isinstance(mix, CleaningMix)
    assert ph == NotYet(("ph", "alkalinity", "stabiliser", "volume"), "ph")


def test_a_reading_beyond_its_formula_gives_no_dose() -> None:
    clean = KNOWLEDGE.repairs["acid_clean"]
    assert work_doses(clean, read(ph=9.6, alkalinity=100, stabiliser=30))[1] == Outside("ph")
    assert isinstance(work_doses(clean, read(ph=8.0, alkalinity=100, stabiliser=30))[1], PhDose)
    assert len(work_doses(clean, read(ph=7.6))) == 1


def test_a_setting_carries_the_pool_in_the_hours_it_is_told_for() -> None:
    """45 m³ at 25 °C use 72 g a day (1.6 ppm: common practice, no source); what is made is at least that."""
    for rate, hours in ((10.0, 12.0), (20.0, 3.0), (4.0, 3.0), (3.2, 3.0)):
        numbers = read(pool_volume=45, rated_output=rate, run_hours=hours)
        (dose,) = work_doses(KNOWLEDGE.repairs["raise_output"], numbers)
        assert isinstance(dose, Setting)
        assert dose.hours is not None
        share = dose.percent / 100 if dose.percent is not None else 0.75 if dose.sparing else 1.0
        assert rate * dose.hours * share >= dose.need_g == pytest.approx(72.0)
    (size,) = work_doses(KNOWLEDGE.repairs["larger_unit"], read(pool_volume=45, run_hours=9))
    assert isinstance(size, UnitSize)
    assert size.rate_g_h * 9 * 2 / 3 == pytest.approx(72.0)


def test_a_strong_dose_begins_at_ten_ppm() -> None:
    """Ten times the combined chlorine, and ten at least: common practice, no source."""
    assert [strong_dose(read(combined_chlorine=combined)).rise_ppm for combined in (0.4, 1.5)] == [10.0, 15.0]

"""Amounts on a sheet against hand-worked mass balances; what is missing is named."""

from __future__ import annotations

import dataclasses
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.chlorinator.disinfectant import free_chlorine_split
from engine.treatment.chlorine import chlorine_for_stabiliser_ppm, chlorine_range
from reports.view.amounts import amount_to_put_right, hand_amount, part_amount, work_amounts
from reports.view.known import KnownReadings
from reports.view.model import Amount
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
UNIT = KNOWLEDGE.units["default"]


def known(**numbers: float) -> KnownReadings:
    return KnownReadings(numbers, KNOWLEDGE, UNIT)


def part(name: str, repair: str, **numbers: float) -> Amount:
    item = KNOWLEDGE.repairs[repair]
    need = next(need for need in item.parts if need.part == name)
    return part_amount(need, item, known(**numbers))


def figure(text: str) -> float:
    """The first number in a text."""
    found = re.search(r"[0-9]+(?:\.[0-9]+)?", text)
    assert found is not None, text
    return float(found[0])


def test_salt_by_mass_balance() -> None:
    # 50 m³ from 2600 to 3600 mg/L takes 50 x 1000 g = 50 kg (mass balance; the target is the unit profile's ideal).
    assert UNIT.values["salt.ideal"] == 3600
    amount = part("salt", "add_salt", tested_salt=2600, pool_volume=50)
    assert amount.text == "about 50 kg, 33 kg of it first"
    assert "From 2600 ppm to 3600 ppm in 50 m³" in amount.working
    assert amount.missing == ()


def test_salt_without_a_volume_is_told_for_each_cubic_metre() -> None:
    amount = part("salt", "add_salt", tested_salt=2600)
    assert figure(amount.text) == 1.0
    assert "for each m³" in amount.text
    assert amount.missing == ("how much water the pool holds",)


def test_salt_without_a_test_is_not_worked_out_from_the_units_own_reading() -> None:
    amount = part("salt", "add_salt", unit_salt=1500, pool_volume=50)
    assert not re.search(r"[0-9]", amount.text)
    assert amount.missing == ("a salt test of the water",)


def test_enough_salt_takes_none() -> None:
    assert part("salt", "add_salt", tested_salt=3700, pool_volume=50).text == "none"


def test_stabiliser_stops_at_the_low_end_of_right_and_two_errors_of_the_test() -> None:
    # Right begins at 30 ppm and the test is good to 5 ppm, so 40 ppm; 30 m³ from 10 ppm takes 900 g (mass balance).
    amount = part("stabiliser", "add_stabiliser", stabiliser=10, pool_volume=30)
    assert amount.text == "about 0.9 kg"
    assert "From 10 ppm to 40 ppm" in amount.working
    assert part("stabiliser", "add_stabiliser", stabiliser=45).text == "none"
    assert part("stabiliser", "add_stabiliser", pool_volume=30).missing == ("a stabiliser test",)


def test_a_hand_dose_goes_to_the_middle_of_the_range() -> None:
    # 1 to 5 ppm is common practice, no source. 40 m³ from 0.5 to 3 ppm is 100 g of chlorine, 0.83 L at 120 g/L.
    assert chlorine_range(known()) == (1, 5)
    # A twentieth of the stabiliser is the least, in steps of a half, as far as the range goes (Falk, from memory).
    assert [chlorine_range(known(stabiliser=c)) for c in (15, 60, 65, 150)] == [(1, 5), (3, 5), (3.5, 5), (5, 5)]
    assert hand_amount(known(free_chlorine=0.5, pool_volume=40)).text.startswith("about 830 mL of 12 % liquid chlorine")
    assert hand_amount(known(owner_test=0.5, pool_volume=80)).text.startswith("about 1.67 L")
    assert hand_amount(known(free_chlorine=3.5, owner_test=0.0, pool_volume=40)).text == "none"


def test_without_a_test_a_hand_dose_is_told_for_each_ppm() -> None:
    amount = hand_amount(known(pool_volume=120))
    # 120 m³ x 1 g/m³ = 120 g, one litre at 12 % available chlorine by volume.
    assert amount.text.startswith("about 1 L of 12 % liquid chlorine")
    assert "Raises the reading by 1 ppm" in amount.working


def test_a_strong_dose_is_ten_times_the_combined_chlorine_and_at_least_ten() -> None:
    # Common practice, no source. 24 m³ x 10 g/m³ = 240 g, 2 L at 120 g/L; at 2 ppm combined 4 L.
    dose = part("chlorine_for_hand_dosing", "superchlorinate", pool_volume=24, combined_chlorine=0.4)
    assert figure(dose.text) == 2.0
    assert figure(part("chlorine_for_hand_dosing", "superchlorinate", pool_volume=24, combined_chlorine=2).text) == 4.0


def test_bicarbonate_neutralises_the_cleaning_acid() -> None:
    # Hydrochloric acid of 30 % has a density of 1.149 g/mL at 20 °C (CRC Handbook, from memory); HCl 36.46 g/mol,
    # NaHCO3 84.01 g/mol, one for one.
    grams = 0.2 * 1149 * 0.30 / 36.46 * 84.01
    assert figure(part("bicarbonate", "acid_clean").text) == pytest.approx(grams, rel=0.01)


@pytest.mark.parametrize(
    ("numbers", "text"),
    [
        # Drain and refill with water that holds none, to the ideal of 3600 ppm: (4800 - 3600) / 4800 = 25 %.
        ({"tested_salt": 4800.0}, "about 25 % of the water, 10 m³ of 40 m³"),
        # Half of it is more than a third, so twice: (1 - 0.293)^2 = 0.5; 0.293 x 40 m³ = 11.7 m³.
        ({"tested_salt": 7200.0}, "2 times about 29 % of the water, each time 12 m³ of 40 m³"),
        # Stabiliser to two errors of the test (2 x 15 % of 90) under the 90 ppm where right ends: 63 ppm, half again.
        ({"stabiliser": 126.0}, "2 times about 29 % of the water, each time 12 m³ of 40 m³"),
        # Salt asks for three quarters: (1 - 0.293)^4 = 0.25.
        ({"stabiliser": 126.0, "tested_salt": 14400.0}, "4 times about 29 % of the water, each time 12 m³ of 40 m³"),
    ],
)
def test_share_of_water_to_swap(numbers: dict[str, float], text: str) -> None:
    (amount,) = work_amounts(KNOWLEDGE.repairs["replace_water"], known(pool_volume=40, **numbers))
    assert amount.text.startswith(text)
    assert "Never drain more than 33 % at a time" in amount.care
    assert "Pool lights" in amount.care
    (amount,) = work_amounts(KNOWLEDGE.repairs["replace_water"], known(**numbers))
    assert text.startswith(amount.text.split(",")[0])
    assert amount.missing == ("how much water the pool holds",)


def test_a_strong_dose_waits_for_fresh_water_where_a_test_is_far_up() -> None:
    """6 ppm combined would take 60 ppm at ten to one (common practice, no source): no litre of it is told."""
    for test, told in (("combined_chlorine", "Combined chlorine of 6 ppm"), ("stabiliser", "Stabiliser of 150 ppm")):
        value = 6.0 if test == "combined_chlorine" else 150.0
        dose = part("chlorine_for_hand_dosing", "superchlorinate", pool_volume=60, **{test: value})
        assert dose.text == "none yet: first replace part of the water"
        assert dose.working.startswith(told)
        assert "33 %" in dose.working
        assert not re.search(r"[0-9] ?m?L\b", f"{dose.text} {dose.working} {dose.care}")
        assert dose.missing == ("a new test once part of the water has been replaced",)


def test_a_strong_dose_says_for_how_much_water_and_for_what_rise() -> None:
    """12 % by volume is 120 g of chlorine a litre, and 1 ppm in 1 m3 is 1 g: by definition."""
    told = part("chlorine_for_hand_dosing", "superchlorinate", pool_volume=24).text
    found = re.fullmatch(r"about ([0-9.]+) L of 12 % liquid chlorine in 24 m³, to add ([0-9.]+) ppm", told)
    assert found is not None
    assert float(found[1]) * 120 == pytest.approx(24 * float(found[2]), rel=0.05)


def test_a_pool_that_no_household_has_is_asked_for_again() -> None:
    amount = part("salt", "add_salt", tested_salt=2600, pool_volume=30000)
    assert "for each m³" in amount.text
    assert "30000 m³ seems wrong" in amount.missing[0]


def test_water_is_not_swapped_without_a_test() -> None:
    (amount,) = work_amounts(KNOWLEDGE.repairs["replace_water"], known(stabiliser=50, tested_salt=3000))
    assert amount.missing == ("the reading that is too high",)


@pytest.mark.parametrize(
    ("numbers", "text"),
    [
        # Seven of ten pools use no more than 2.64 ppm a day at 25 °C: 119 g of 45 m³ (common practice, no source).
        # 20 g/h for 12 h make 240 g at full output: 50 %.
        ({"pool_volume": 45, "rated_output": 20, "run_hours": 12}, "about 50 % at 12 h a day"),
        # 30 g/h for 3 h make 90 g, too little; 119 g need 4 h at full output, 5.3 h at 75 %.
        ({"pool_volume": 45, "rated_output": 30, "run_hours": 3}, "about 6 h a day at 75 %"),
        # 6.7 g/h need 17.7 h at full output, 23.7 h at 75 %; 5 g/h need 23.8 h; 3 g/h need 40 h.
        ({"pool_volume": 45, "rated_output": 6.7, "run_hours": 3}, "about 24 h a day at 75 %"),
        ({"pool_volume": 45, "rated_output": 5, "run_hours": 3}, "about 24 h a day at full output"),
        ({"pool_volume": 45, "rated_output": 3, "run_hours": 3}, "more than this unit makes, even around the clock"),
        # As it is set is told beside, and where the hours are not known those that it takes.
        (
            {"pool_volume": 45, "rated_output": 20, "run_hours": 12, "output_setting": 10},
            "from 10 % to about 50 % at 12 h a day",
        ),
        ({"pool_volume": 45, "rated_output": 30}, "about 6 h a day at 75 %"),
        # 26.4 g of each 10 m³ take 1.3 h at full output of 20 g/h, 1.8 h at 75 %.
        ({"rated_output": 20, "run_hours": 12}, "about 2 h a day at 75 % for each 10 m³ (10 000 L) of water"),
        # Ten degrees more double the use: 238 g.
        ({"pool_volume": 45, "rated_output": 30, "run_hours": 9, "water_temp": 35}, "about 90 % at 9 h a day"),
    ],
)
def test_setting_and_hours(numbers: dict[str, float], text: str) -> None:
    (amount,) = work_amounts(KNOWLEDGE.repairs["raise_output"], known(**numbers))
    assert amount.text == text


def test_a_larger_unit_is_sized_at_two_thirds_of_its_output() -> None:
    """45 m3 at 25 degC use 99 g a day; in 9 h at two thirds that is 16.5 g/h. Both are common practice, no source."""
    (amount,) = work_amounts(KNOWLEDGE.repairs["larger_unit"], known(pool_volume=45, run_hours=9, water_temp=20))
    assert amount.text == "a unit of 17 g/h or more"
    (amount,) = work_amounts(KNOWLEDGE.repairs["larger_unit"], known(run_hours=9))
    assert amount.missing == ("how much water the pool holds",)


def test_setting_names_what_is_missing() -> None:
    (amount,) = work_amounts(KNOWLEDGE.repairs["raise_output"], known(rated_output=20))
    assert amount.missing == ("how much water the pool holds", "the pump's daily hours")
    (amount,) = work_amounts(KNOWLEDGE.repairs["raise_output"], known(pool_volume=45, run_hours=8))
    assert "assumed to be 20 g/h" in amount.missing[0]


def test_amounts_that_knowledge_states_are_told_as_stated() -> None:
    assert part("cleaning_acid", "acid_clean").text == "0.2 L"


def test_a_reading_beyond_the_formula_gives_no_dose_and_says_why() -> None:
    higher = dataclasses.replace(UNIT, values={**UNIT.values, "salt.ideal": 60000.0})
    item = KNOWLEDGE.repairs["add_salt"]
    amount = part_amount(
        item.parts[0], item, KnownReadings({"tested_salt": 3000.0, "pool_volume": 50.0}, KNOWLEDGE, higher)
    )
    assert amount.text == "not worked out"
    assert "outside the formula's range" in amount.working


@given(st.floats(min_value=41.0, max_value=300.0))
def test_what_works_of_the_chlorine_that_stabiliser_asks_for_is_the_same_at_every_stabiliser(cya_ppm: float) -> None:
    """By the equilibrium of O'Brien (1974) the active part goes by chlorine over cyanurate: 0.020 mg/L at 1 to 20.

    Half a ppm of rounding is a fifth of the least chlorine told, so the bounds are 0.018 and 0.026.
    """
    asked = chlorine_for_stabiliser_ppm(known(stabiliser=cya_ppm))
    assert asked is not None
    assert cya_ppm / 20 <= asked < cya_ppm / 20 + 0.5
    assert 0.018 <= free_chlorine_split(7.5, asked, cya_ppm).hocl_mg_l <= 0.026


def test_a_hand_dose_goes_by_the_stabiliser_as_far_as_the_range_goes() -> None:
    # 50 m³ x 10 mg/L is 500 g of chlorine, 4.2 L of 12 % (mass balance): to 3, 4 and 5 ppm 1.25, 1.67 and 2.08 L.
    doses = [figure(hand_amount(known(free_chlorine=0.0, pool_volume=50, stabiliser=c)).text) for c in (40, 80, 180)]
    assert doses == pytest.approx([1.25, 1.67, 2.08], rel=0.05)


def test_soda_ash_is_told_with_the_most_at_once_and_what_it_does_to_the_alkalinity() -> None:
    """38.6 g in each m³ by `tests/engine/treatment/test_soda_ash.py`; half of that is under the limit of 20 g."""
    tests = {"ph": 6.8, "alkalinity": 80.0, "stabiliser": 40.0}
    amount = amount_to_put_right("ph", "low", known(pool_volume=50.0, **tests))
    assert amount is not None
    assert amount.text.startswith(
        "about 1900 g of soda ash (sodium carbonate) in 50 m³, never more than 960 g at once;"
    )
    assert "raises the alkalinity to about 116 ppm" in amount.text
    each = amount_to_put_right("ph", "low", known(**tests))
    assert each is not None
    assert each.missing == ("how much water the pool holds",)
    assert "for each 10 m³" in each.text

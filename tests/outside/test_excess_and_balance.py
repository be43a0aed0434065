"""Doses for too much chlorine and for water out of balance, held against figures that other people published.

Sources, as public pages give them: the sample problems of a pool operators' course ("Saturation index" and "Chemical
adjustments", read), whose index has one constant for all waters below 1000 mg/L of salts; a field guide to disinfecting
pipelines (table of dechlorination agents, read); PHREEQC for what acid does to a carbonate water.
"""

from __future__ import annotations

import pytest
from molmass import Formula
from phreeqpython import PhreeqPython

from engine.chlorinator.balance import PoolWater, calcite_index, water_index
from engine.knowledge.model import Repair
from engine.quantities.units import convert
from engine.treatment.acid import PhDose, acid_for_alkalinity
from engine.treatment.amounts import Enough, NotYet
from engine.treatment.chlorine import ChlorineOut, chlorine_out
from engine.treatment.doses import part_dose, work_doses
from engine.treatment.minerals import MineralDose, mineral_to_add
from engine.treatment.readings import PoolReadings
from engine.treatment.water_balance import Balance, balance, balanced_ph
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
TEN_THOUSAND_GAL = convert(10_000, "US gal", "m³")


def read(**numbers: float) -> PoolReadings:
    return PoolReadings(numbers, KNOWLEDGE, KNOWLEDGE.units["default"])


def fahrenheit(degrees: float) -> float:
    return convert(degrees, "°F", "°C")


@pytest.mark.parametrize(
    ("ph", "warmth_f", "hardness", "alkalinity", "index"),
    [(7.0, 76, 200, 50, -0.9), (7.6, 84, 300, 75, 0.2), (8.0, 94, 400, 150, 1.1)],
)
def test_the_index_of_a_courses_sample_problems(
    ph: float, warmth_f: float, hardness: float, alkalinity: float, index: float
) -> None:
    """Its tables are rounded to a tenth each, so three tenths are what four of them leave open."""
    ours = calcite_index(ph, fahrenheit(warmth_f), hardness, alkalinity, 800)
    assert ours == pytest.approx(index, abs=0.3)


@pytest.mark.parametrize(
    ("ph", "warmth_f", "hardness", "alkalinity", "index"),
    [(7.0, 76, 200, 50, -0.9), (7.6, 84, 300, 75, 0.2), (8.0, 94, 400, 150, 1.1)],
)
def test_the_ph_at_which_water_is_in_balance_is_the_ph_less_the_index(
    ph: float, warmth_f: float, hardness: float, alkalinity: float, index: float
) -> None:
    """By the definition of the index (Standard Methods 2330 B, from memory), on the same three waters."""
    water = PoolWater(ph, fahrenheit(warmth_f), hardness, alkalinity, 0, 800)
    assert balanced_ph(water) == pytest.approx(ph - index, abs=0.3)


@pytest.mark.parametrize("stabiliser", [0.0, 40.0, 90.0])
@pytest.mark.parametrize(("ph", "hardness", "alkalinity"), [(8.2, 450, 140), (7.4, 150, 80), (7.8, 300, 200)])
def test_water_of_that_ph_is_at_index_0(ph: float, hardness: float, alkalinity: float, stabiliser: float) -> None:
    found = balance(read(ph=ph, hardness=hardness, alkalinity=alkalinity, stabiliser=stabiliser, water_temp=26.0))
    assert isinstance(found, Balance)
    assert found.balanced_ph is not None
    there = PoolWater(
        found.balanced_ph, 26.0, hardness, alkalinity, stabiliser, KNOWLEDGE.units["default"].values["salt.ideal"]
    )
    assert water_index(there) == pytest.approx(0.0, abs=0.005)
    assert found.index == pytest.approx(ph - found.balanced_ph, abs=0.1)


def test_water_that_no_ph_alone_balances_has_its_index_all_the_same() -> None:
    """Very soft water of little alkalinity: the pH at which it were in balance lies beyond what the index holds for."""
    found = balance(read(ph=7.0, hardness=70.0, alkalinity=30.0, stabiliser=20.0, water_temp=24.0))
    assert isinstance(found, Balance)
    assert found.balanced_ph is None
    assert found.index < -1.5


def test_what_the_balance_lacks_is_named() -> None:
    assert balance(read(ph=7.8)) == NotYet(("alkalinity", "stabiliser", "hardness"), "balance")


@pytest.mark.parametrize(("gallons", "now", "target", "pounds"), [(90_000, 50, 100, 63), (10_000, 60, 70, 1.4)])
def test_bicarbonate_by_a_courses_chart(gallons: float, now: float, target: float, pounds: float) -> None:
    """1.4 lb of bicarbonate for each 10 ppm in 10 000 US gal, as the course and others print it; 90 000 gal: 63 lb."""
    dose = MineralDose("alkalinity", now, target, None)
    assert convert(dose.kg(convert(gallons, "US gal", "m³")), "kg", "lb") == pytest.approx(pounds, rel=0.02)


def test_calcium_chloride_by_molar_masses() -> None:
    """One CaCl2.2H2O for each CaCO3 that the test tells, by molmass; 10 ppm in 10 000 gal are 1.2 lb (from memory)."""
    dose = MineralDose("hardness", 150, 160, None)
    grams = 10 * Formula("CaCl2(H2O)2").mass / Formula("CaCO3").mass * TEN_THOUSAND_GAL
    assert dose.kg(TEN_THOUSAND_GAL) * 1000 == pytest.approx(grams, rel=1e-3)
    assert convert(dose.kg(TEN_THOUSAND_GAL), "kg", "lb") == pytest.approx(1.2, abs=0.05)


def test_soft_water_is_brought_to_the_low_end_and_no_further() -> None:
    """60 and 150 ppm are where right begins; two errors of the test on top, as the stabiliser's dose has it."""
    low = mineral_to_add("alkalinity", read(alkalinity=30.0, pool_volume=40.0))
    soft = mineral_to_add("hardness", read(hardness=70.0))
    assert isinstance(low, MineralDose)
    assert isinstance(soft, MineralDose)
    assert (low.target_ppm, soft.target_ppm) == (72.0, 190.0)
    assert isinstance(mineral_to_add("hardness", read(hardness=260.0)), Enough)


@pytest.mark.parametrize(("now", "target", "volume"), [(15.0, 5.0, 50.0), (25.0, 5.0, 80.0), (10.0, 5.0, 30.0)])
def test_neutraliser_is_never_more_than_what_field_practice_needs(now: float, target: float, volume: float) -> None:
    """Complete oxidation takes one thiosulphate for four chlorine; the field guide found 1.9 mg for 1 mg at pH 7.

    Its table of amounts gives 0.19 kg for 1 mg/L in 100 m3. So the sheet's figure, half of it first, cannot overshoot.
    """
    dose = chlorine_out(read(free_chlorine=now, pool_volume=volume))
    assert isinstance(dose, ChlorineOut)
    assert dose.target_ppm == target
    ratio = Formula("Na2S2O3(H2O)5").mass / (4 * Formula("Cl2").mass)
    assert dose.grams == pytest.approx((now - target) * volume * ratio, rel=1e-3)
    field = 190.0 * (now - target) * volume / 100.0
    assert 0.4 * field < dose.grams < 0.5 * field


def test_below_ten_ppm_sun_and_time_do_it() -> None:
    """10 ppm is where some Canadian authorities close pools (NCCEH brief, read)."""
    assert chlorine_out(read(free_chlorine=9.9)) == Enough(9.9, 10.0)
    assert chlorine_out(read()) == NotYet(("chlorine", "volume"), "chlorine_out")
    assert chlorine_out(read(free_chlorine=20.0)) == NotYet(("volume",), "chlorine_out")


@pytest.mark.parametrize(
    ("ph", "alkalinity", "hardness", "warmth"), [(7.8, 180, 250, 25), (8.0, 240, 300, 28), (7.6, 160, 200, 20)]
)
def test_one_round_of_acid_against_alkalinity_brings_the_ph_to_7_2_by_phreeqc(
    ph: float, alkalinity: float, hardness: float, warmth: float
) -> None:
    readings = read(
        ph=ph, alkalinity=alkalinity, stabiliser=0.0, hardness=hardness, water_temp=warmth, tested_salt=3500.0
    )
    dose = acid_for_alkalinity(readings)
    assert isinstance(dose, PhDose)
    acid = dose.dose(1.0)
    water = PhreeqPython(database="phreeqc.dat").add_solution(
        {
            "units": "mg/l",
            "pH": ph,
            "temp": warmth,
            "Ca": hardness * Formula("Ca").mass / Formula("CaCO3").mass,
            "Alkalinity": f"{alkalinity} as Ca0.5(CO3)0.5",
            "Na": 3500 * Formula("Na").mass / Formula("NaCl").mass,
            "Cl": f"{3500 * Formula('Cl').mass / Formula('NaCl').mass} charge",
        }
    )
    water.add("HCl", acid.acid_mmol_l, "mmol")
    assert water.pH == pytest.approx(7.2, abs=0.05)
    fall = acid.acid_mmol_l * Formula("CaCO3").mass / 2
    assert acid.alkalinity_after_ppm == pytest.approx(alkalinity - fall, rel=1e-3)


def test_acid_against_alkalinity_by_a_courses_example() -> None:
    """60 000 gal from 150 to 100 ppm: 63 lb of sodium bisulfate; rounds of acid to pH 7.2 add up to the same acid."""
    volume = convert(60_000, "US gal", "m³")
    grams = 0.0
    alkalinity = 150.0
    while alkalinity > 100.0:
        dose = PhDose(PoolWater(7.6, 25.0, 250.0, alkalinity, 0.0, 3500.0), volume, (), 7.2).dose(volume)
        share = min(1.0, (alkalinity - 100.0) / (alkalinity - dose.alkalinity_after_ppm))
        grams += share * dose.dry_acid_g
        alkalinity -= share * (alkalinity - dose.alkalinity_after_ppm)
    assert convert(grams / 1000, "kg", "lb") == pytest.approx(63, rel=0.05)


def test_no_acid_is_told_where_none_is_needed() -> None:
    assert acid_for_alkalinity(read(alkalinity=110.0)) == Enough(110.0, 130.0)
    assert acid_for_alkalinity(read(alkalinity=200.0, ph=7.1)) == Enough(7.1, 7.2, "pH")


def repair(name: str) -> Repair:
    return KNOWLEDGE.repairs[name]


def test_what_the_new_work_takes_is_worked_out_or_says_what_it_lacks() -> None:
    water = read(ph=8.2, alkalinity=120.0, stabiliser=40.0, hardness=300.0, pool_volume=50.0)
    (acid,) = (need for need in repair("lower_ph").parts if need.part == "pool_acid")
    assert isinstance(part_dose(acid, repair("lower_ph"), water), PhDose)
    assert part_dose(acid, repair("lower_ph"), read(ph=7.5)) == Enough(7.5, 7.7, "pH")
    assert part_dose(acid, repair("lower_ph"), read(ph=8.2)) == NotYet(("alkalinity", "stabiliser", "volume"), "ph")
    assert [type(dose) for dose in work_doses(repair("lower_ph"), water)] == [Balance]
    far = read(free_chlorine=14.0, pool_volume=40.0, run_hours=8.0, rated_output=20.0)
    assert isinstance(work_doses(repair("turn_down"), far)[1], ChlorineOut)
    assert len(work_doses(repair("turn_down"), read(free_chlorine=6.0, pool_volume=40.0, run_hours=8.0))) == 1

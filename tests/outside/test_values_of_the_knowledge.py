"""Limits that the shipped knowledge holds, against rules and laws that others published."""

from __future__ import annotations

import re

import pytest

from engine.chlorinator.acid import bicarbonate_for_acid_g
from engine.chlorinator.water import conductivity_ms_cm, drain_m3
from engine.treatment.acid import ACID_STRENGTH_PERCENT
from engine.treatment.readings import PoolReadings
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
DEFAULT = PoolReadings({}, KNOWLEDGE, KNOWLEDGE.units["default"])


def right(check: str) -> tuple[float, float]:
    found = DEFAULT.should_be(KNOWLEDGE.checks[check])
    assert found is not None
    return found


def ends(check: str) -> dict[str, float]:
    unit = KNOWLEDGE.units["default"]
    return {b.id: b.under.value(unit) for b in KNOWLEDGE.checks[check].bands if b.under is not None}


def test_the_ph_that_is_right_is_the_public_rules() -> None:
    """Montana ARM 37.115.1308, table 6: pH 7.2 to 7.8."""
    assert right("ph") == (7.2, 7.8)


@pytest.mark.parametrize(("check", "least", "most"), [("alkalinity", 60, 220), ("hardness", 150, 1000)])
def test_what_is_right_lies_within_the_public_rules(check: str, least: float, most: float) -> None:
    """Montana ARM 37.115.1308, table 6: alkalinity 60 to 220 ppm, calcium hardness of pools 150 to 1000 ppm."""
    low, high = right(check)
    assert least <= low < high <= most


def test_stabiliser_that_is_right_is_no_more_than_public_pools_may_have() -> None:
    """Montana ARM 37.115.1308, table 6: cyanuric acid 100 ppm at most."""
    assert right("stabiliser")[1] <= 100


def test_combined_chlorine_is_raised_where_the_public_rules_ask_for_a_strong_dose() -> None:
    """Montana ARM 37.115.1307: at 0.5 ppm and more."""
    assert ends("combined_chlorine")["low"] == 0.5


def test_supply_is_low_where_the_standard_says_so() -> None:
    """EN 50160: 230 V within 10 % in 95 % of all ten-minute means, never more than 15 % under it."""
    assert ends("supply_voltage")["low"] == pytest.approx(230 * 0.9)
    assert ends("supply_voltage")["right"] == pytest.approx(230 * 1.1)
    floor = re.search(r"fall to (\d+) V", KNOWLEDGE.checks["supply_voltage"].how.technician)
    assert floor is not None
    assert float(floor[1]) == pytest.approx(230 * 0.85, abs=0.6)


def test_hardly_any_salt_is_what_no_usual_loss_explains() -> None:
    """Mass balance: from 3000 ppm to the limit two thirds of the water would have to go."""
    assert drain_m3(1.0, 3000.0, ends("tested_salt")["hardly_any"]) == pytest.approx(2 / 3)


def test_a_sensor_that_reads_hot_makes_salt_read_low() -> None:
    """Practical salinity scale PSS-78 (UNESCO 44): 35 for 20 degC makes right salt read a quarter low."""
    conducts = conductivity_ms_cm(3.4, 20.0)
    low, high = 1.0, 3.4
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if conductivity_ms_cm(middle, 35.0) < conducts else (low, middle)
    assert low / 3.4 == pytest.approx(0.75, abs=0.03)


def test_spent_acid_is_told_one_strength_of_bicarbonate() -> None:
    """HCl 36.46 and NaHCO3 84.01 g/mol, one for one; ten parts of water to one of acid of 30 %, 1.149 g/mL."""
    by_hand = 1149 * 0.30 / 36.46 * 84.01 / 11
    assert bicarbonate_for_acid_g(1.0, ACID_STRENGTH_PERCENT) / 11 == pytest.approx(by_hand, rel=0.01)
    texts = [KNOWLEDGE.cautions["spent_acid"].wording.technician, *KNOWLEDGE.repairs["acid_clean"].steps.technician]
    told = [float(found) for text in texts for found in re.findall(r"\[(\d+) g/L\]", text)]
    assert len(told) >= 2
    assert told == pytest.approx([by_hand] * len(told), rel=0.01)

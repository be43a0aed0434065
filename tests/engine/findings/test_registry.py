"""Each derived finding that the knowledge may name is worked out from what is declared, and its figure tells of it."""

from __future__ import annotations

import pytest

from engine.findings.evidence import figure_of
from engine.findings.readings import Readings
from engine.findings.registry import DERIVATIONS
from engine.knowledge.computed import COMPUTED_FINDINGS
from reports.view.figures import figure_behind
from reports.view.known import KnownReadings
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
UNIT = KNOWLEDGE.units["default"]
WATER = {"ph": 7.5, "hardness": 250.0, "alkalinity": 100.0, "stabiliser": 30.0, "tested_salt": 3500.0}
READ = {
    **WATER,
    "unit_salt": 3400.0,
    "unit_temp": 26.0,
    "water_temp": 25.0,
    "salt_then": 3800.0,
    "months_since_salt_test": 2.0,
    "cell_current": 18.0,
    "current_then": 20.0,
    "cell_voltage": 7.5,
    "cell_age_years": 4.0,
    "run_hours": 8.0,
    "output_setting": 60.0,
    "pool_volume": 50.0,
    "rated_output": 20.0,
    "supply_voltage": 230.0,
    "nominal_voltage": 230.0,
}


def test_what_is_declared_and_what_is_worked_out_are_the_same_findings() -> None:
    assert DERIVATIONS.keys() == COMPUTED_FINDINGS.keys()


@pytest.mark.parametrize("name", DERIVATIONS)
def test_the_readings_declared_are_enough(name: str) -> None:
    numbers = {check: (READ[check], 0.1) for check in COMPUTED_FINDINGS[name].reads}
    weights = DERIVATIONS[name].weights(Readings(KNOWLEDGE.findings[name], UNIT, numbers))
    assert weights is not None
    assert sum(weights) == pytest.approx(1.0)


@pytest.mark.parametrize("name", [name for name, how in DERIVATIONS.items() if how.figure is not None])
def test_a_figure_is_told_wherever_there_are_numbers_and_nowhere_else(name: str) -> None:
    finding = KNOWLEDGE.findings[name]
    read = {check: READ[check] for check in COMPUTED_FINDINGS[name].reads}
    assert figure_of(finding, KNOWLEDGE, UNIT, read)
    assert figure_behind(finding, KnownReadings(read, KNOWLEDGE, UNIT))
    if name != "chlorine_balance":
        # Of the balance every reading has a usual spread.
        assert not figure_of(finding, KNOWLEDGE, UNIT, {})
        assert figure_behind(finding, KnownReadings({}, KNOWLEDGE, UNIT)) == ""

"""The cautions of a sheet are those of what it tells to do or to sell, and of danger; none of these is left out."""

from __future__ import annotations

import pytest

from engine.session.journal import Event
from reports.view import job_view
from reports.view.model import JobView
from tests.paper_rules import Belongs
from tests.paper_tables import CHECKS
from tests.reports.jobs import AT, DATE, answers, job, opened

OF_A_HAND_DOSE = {"splash_protection", "swimmers_out"}
SALT_IS_LOW = answers(tested_salt=1500.0, unit_salt=1550.0, unit_report="low_salt_stopped")
LOOKED_INSIDE = answers(cell_plates="clean", flow_sensor_contact="follows_flow", pack_inside="dry")


def view(*events: Event) -> JobView:
    return job_view(job(*events), DATE)


def cautions(seen: JobView) -> set[str]:
    return {line.caution for line in seen.cautions}


def lines(seen: JobView) -> set[str]:
    return {line.caution for line in seen.in_a_line}


def test_what_was_looked_at_and_is_over_warns_no_more() -> None:
    """Looking into the cell warned of gas when it was done; the salt that is to be added has nothing to do with it."""
    seen = view(*opened("field", "low-salt"), *SALT_IS_LOW, *answers(union_leak="dry"), *LOOKED_INSIDE)
    assert [action.repair for action in seen.actions] == ["add_salt"]
    assert not {"gas_in_cell", "isolate_and_prove_dead", "tingle_keep_out"} & cautions(seen)
    assert "not_on_undissolved_salt" in lines(seen)


@pytest.mark.parametrize("check", ["cell_plates", "flow_sensor_look", "dilution_test"])
def test_what_is_looked_at_later_still_warns(check: str) -> None:
    put_off = Event("deferred", AT, about=check, text="tonight")
    seen = view(*opened("field", "low-salt"), *SALT_IS_LOW, put_off)
    assert [line.about for line in seen.waiting] == [check]
    due = Belongs()
    due.add(CHECKS[check], a_line_will_do=True)
    assert not due.missing(cautions(seen), lines(seen))


def test_a_dead_unit_warns_of_chlorine_only_where_it_is_dosed_by_hand() -> None:
    dead = [*opened("phone", "supply-fault"), *answers(unit_power="dark", breaker="not_tripped", unit_fuse="blown")]
    seen = view(*dead, *answers(pump_running="running", free_chlorine=0.2))
    assert "chlorine_for_hand_dosing" in [part.part for part in seen.parts]
    told = {line.caution for line in seen.home.cautions}
    assert told >= OF_A_HAND_DOSE
    assert "acid_never_with_chlorine" in {line.caution for line in seen.home.in_a_line} - told
    still = view(*dead, *answers(pump_running="stopped"))
    assert "chlorine_for_hand_dosing" not in [part.part for part in still.parts]
    assert not {line.caution for line in still.home.cautions} & OF_A_HAND_DOSE


def test_where_a_nil_test_may_be_bleached_no_dose_by_hand_comes_before_the_thinned_sample() -> None:
    """DPD fades in strong chlorine and reads nil (APHA Standard Methods 4500-Cl, from memory)."""
    found = answers(free_chlorine=0.0, water_look="clear", cell_bubbles="milky_stream", pool_volume=50.0)
    seen = view(*opened("field", "no-output"), *found)
    assert "dilute_and_retest" in [action.repair for action in seen.actions]
    (dose,) = (line for line in seen.advice.meanwhile if "liquid chlorine" in line)
    assert dose.startswith("Daily test; no hand dose before a dilution test")
    assert "bleached_test" in cautions(seen) | lines(seen)
    sure = view(*opened("field", "no-output"), *found, *answers(dilution_test="still_low"))
    (dose,) = (line for line in sure.advice.meanwhile if "liquid chlorine" in line)
    assert dose.startswith("Daily test; where it is low: hand dose")

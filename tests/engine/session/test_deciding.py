"""What is decided away from the pool: first a bottle of water, or a look and a second call, where that tells more."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from engine.knowledge.model import RoleId
from engine.session.deciding import decision_now, to_quote
from engine.session.journal import Event
from engine.session.session import Session
from tests.reports.jobs import AT, answers, job, opened
from tests.shipped import knowledge

LOST: Mapping[str, str | float] = {"water_lost": "yes_much", "salt_added": "not_lately", "unit_salt": 2300.0}


def low_salt(role: RoleId, brought: str = "nothing", **more: str | float) -> Session:
    return job(*opened(role, "low-salt", brought=brought), *answers(**LOST, **more))


def decided(session: Session) -> str:
    return decision_now(session, session.remedy_now())


def test_no_salt_is_sold_by_phone_before_the_water_was_tested() -> None:
    """Salt is sold by a test: common practice, no source."""
    assert decided(low_salt("phone")) == "bring_sample"


@pytest.mark.parametrize(
    ("brought", "more"), [("water_sample", {}), ("nothing", {"tested_salt": 2350.0})], ids=["bottle here", "tested"]
)
def test_with_the_water_here_or_tested_the_salt_is_sold(brought: str, more: Mapping[str, float]) -> None:
    assert decided(low_salt("counter", brought, **more)) == "sell_and_treat"


def test_at_the_pool_nobody_brings_a_bottle() -> None:
    assert decided(low_salt("field")) not in ("bring_sample", "look_and_call")


def test_what_keeps_the_plant_off_brings_a_technician_and_no_second_look() -> None:
    burnt = job(*opened("counter", "no-output"), *answers(cell_lead="burnt"))
    assert decided(burnt) not in ("bring_sample", "look_and_call")


@pytest.mark.parametrize("role", ["counter", "phone"])
def test_nobody_is_sent_for_a_fault_of_which_nothing_is_known(role: RoleId) -> None:
    """A bottle of water or a look costs far less than a visit: common practice, no source."""
    unknown = [job(*opened(role, tree)) for tree in knowledge().trees]
    assert [decided(session) for session in unknown if session.remedy_now() is None]
    assert "send_technician" not in map(decided, unknown)


@pytest.mark.parametrize("role", ["counter", "phone"])
def test_water_is_swapped_by_the_test_that_shows_why(role: RoleId) -> None:
    """By mass balance the share hangs on that figure alone."""
    for tree, test, high, other in (
        ("high-salt", "tested_salt", 6200.0, {"stabiliser": 50.0}),
        ("no-output", "stabiliser", 190.0, {"tested_salt": 3400.0}),
    ):
        untested = job(*opened(role, tree), *answers(**other))
        tested = job(*opened(role, tree), *answers(**other, **{test: high}))
        remedy = next(each for each, _, _ in untested.planner.order(untested.belief) if each.repair == "replace_water")
        assert (decision_now(untested, remedy), decision_now(tested, remedy)) == ("bring_sample", remedy.decision)


def test_a_dear_remedy_that_is_known_is_quoted_and_not_handed_on() -> None:
    size = {"pool_volume": 120.0, "rated_output": 8.0, "output_setting": 100.0, "run_hours": 24.0}
    water = answers(water_look="clear", stabiliser=40.0, free_chlorine=0.3, combined_chlorine=0.1, unit_report="normal")
    cell = answers(cell_plates="clean", cell_current=19.0, cell_voltage=7.5, tested_salt=3500.0, service_lamp="off")
    session = job(*opened("field", "no-output"), *answers(**size), *water, *cell[:-1])
    remedy = session.remedy_now()
    assert remedy is not None
    assert (remedy.repair, decided(session)) == ("larger_unit", "quote")


def test_a_dear_cause_that_is_likely_is_quoted_where_ordering_on_it_does_not_pay() -> None:
    """Known is not the same as sure: nobody orders a pack at one in two, and nobody hands on what has a name."""
    found = answers(
        polarity_change="never_reverses", cell_voltage=8.6, cell_current=11.0, cell_plates="white_every_second"
    )
    session = job(*opened("field", "no-output"), *found, *answers(cell_current=11.0))
    cause = next(iter(session.marginals()))
    assert cause == "polarity_fixed"
    remedy = session.remedy_now("settle")
    assert remedy is not None
    assert remedy.repair in knowledge().causes[cause].repairs
    nothing = job(*opened("field", "no-output"))
    assert to_quote(nothing) is None


def test_acid_that_was_not_at_hand_is_come_back_for_and_no_quote_is_written_for_it() -> None:
    """A quote is for what is dear; the water's balance takes a bottle of acid, of a cheap class."""
    water = answers(jet_flakes="white_flakes", hardness=600.0, alkalinity=150.0, ph=8.2, stabiliser=40.0)
    seen = answers(water_look="clear", swimmers="well", scale_line="white_line", pool_volume=50.0, fill_source="tap")
    session = job(
        *opened("field", "water-not-right"),
        *seen,
        *water,
        Event("repaired", AT, about="settle_flakes", value="not_done"),
    )
    remedy = to_quote(session)
    assert remedy is not None
    assert (remedy.repair, remedy.decision) == ("settle_flakes", "order_and_return")

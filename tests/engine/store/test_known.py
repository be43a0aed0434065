"""What the record of a pool says today: what stays, what is older by now, and what must be asked again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.knowledge.model import DANGER_CHECK
from engine.session.journal import Event
from engine.store.connect import Store
from engine.store.filing import file_job, record_of
from engine.store.identity import Writer
from engine.store.known import KnownAnswer, known_pool, recorded_of, remembered_of
from engine.store.listing import PoolReading
from engine.store.people import find_pools
from tests.engine.store.jobs import journal_of
from tests.engine.store.made import an_id
from tests.shipped import knowledge

TODAY = date(2026, 11, 30)
JOB, LATER_JOB = an_id(1), an_id(2)


def read(check: str, number: float | None, day: str, answer: str | None = None) -> PoolReading:
    return PoolReading(f"{day}T09:00:00Z", JOB, check, number, answer)


def test_the_size_of_a_pool_is_the_last_one_told_and_a_reading_of_the_water_is_none() -> None:
    told = [
        read("pool_volume", 50.0, "2025-03-01"),
        read("pool_volume", 60.0, "2026-03-01"),
        read("tested_salt", 3200.0, "2026-03-01"),
    ]
    assert list(remembered_of(knowledge(), told, {}, TODAY)) == [KnownAnswer("pool_volume", 60.0, "2026-03-01")]


@given(then=st.floats(0, 20), days=st.integers(0, 4000))
def test_an_age_grows_by_the_time_between(then: float, days: int) -> None:
    told = [read("cell_age_years", then, (TODAY - timedelta(days)).isoformat())]
    (known,) = remembered_of(knowledge(), told, {}, TODAY)
    # A year of 365.25 days, the Julian calendar's mean; ages are told to a tenth.
    assert known.value == pytest.approx(then + days / 365.25, abs=0.051)


@pytest.mark.parametrize(("renewed", "months"), [({}, 9.0), ({"cleaning": "2026-08-31"}, 3.0)])
def test_months_since_a_clean_count_from_the_last_one_done(renewed: dict[str, str], months: float) -> None:
    told = [read("months_since_clean", 1.0, "2026-03-31")]
    (known,) = remembered_of(knowledge(), told, renewed, TODAY)
    assert known.value == pytest.approx(months, abs=0.1)


def test_an_answer_that_the_knowledge_has_no_more_is_asked_again() -> None:
    told = [read("fill_source", None, "2026-03-01", "a spring"), read("cell_age_years", 59.9, "2020-03-01")]
    assert list(remembered_of(knowledge(), told, {}, TODAY)) == []


def test_a_new_cell_is_young_and_clean_and_danger_is_asked_as_if_for_the_first_time(store: Store) -> None:
    new_cell = next(repair.id for repair in knowledge().repairs.values() if repair.renews == "cell")
    first = [
        Event("opened", "2026-05-01T09:00:00Z", about=JOB, value="2026-05-01-0900"),
        Event("answered", "2026-05-01T09:01:00Z", about="unit", value="default"),
        Event("answered", "2026-05-01T09:02:00Z", about=DANGER_CHECK, value="none"),
        Event("answered", "2026-05-01T09:03:00Z", about="cell_age_years", value=6.0),
        Event("answered", "2026-05-01T09:03:00Z", about="ph", value=7.4),
        Event("recorded", "2026-05-01T09:04:00Z", about="customer", value="Ann Example"),
    ]
    second = [
        Event("opened", "2026-05-31T09:00:00Z", about=LATER_JOB, value="2026-05-31-0900"),
        Event("recorded", "2026-05-31T09:01:00Z", about="pool", value=JOB),
        Event("repaired", "2026-05-31T09:30:00Z", about=new_cell, value="done"),
        Event("verified", "2026-05-31T09:40:00Z", about=new_cell, value="helped"),
    ]
    with store.writing() as connection:
        for name, made in (("2026-05-01-0900", first), ("2026-05-31-0900", second)):
            file_job(connection, record_of(name, journal_of(made), Writer("maria", "north shop")))
    with store.reading() as connection:
        (pool,) = find_pools(connection, "exmaple")
        known = known_pool(connection, pool, knowledge(), TODAY)
    assert known.unit == "default"
    # From 31 May to 30 November: 183 days, six months of 30.4375 days.
    remembered = {one.check: one.value for one in known.remembered}
    assert remembered == {"cell_age_years": 0.5, "months_since_clean": 6.0}
    assert [(one.check, one.value) for one in known.earlier] == [("ph", 7.4)]


def test_the_record_tells_of_readings_before_unless_something_was_added_since() -> None:
    adds_salt = next(r.id for r in knowledge().repairs.values() if "tested_salt" in r.ask_again)
    told = [read("tested_salt", 3200.0, "2026-05-31"), read("cell_current", 6.0, "2026-05-31")]
    found = {one.check: one.value for one in recorded_of(knowledge(), told, [], {"cell_scaled": 2}, TODAY)}
    # From 31 May to 30 November: 183 days, 6.01 months of 30.4375 days.
    assert found == {
        "salt_then": 3200.0,
        "months_since_salt_test": 6.01,
        "current_then": 6.0,
        "scale_before": "again",
    }
    since = {one.check for one in recorded_of(knowledge(), told, [(adds_salt, "2026-07-01")], {}, TODAY)}
    assert "salt_then" not in since


def test_what_tells_of_a_danger_is_never_remembered_whatever_the_knowledge_says() -> None:
    known = knowledge()
    telling = replace(known.checks[DANGER_CHECK], remembered="stays")
    edited = replace(known, checks={**known.checks, DANGER_CHECK: telling})
    told = [read(DANGER_CHECK, None, "2026-05-31", "none")]
    assert list(remembered_of(edited, told, {}, TODAY)) == []

"""What goes into a store and comes out again: once each, whole, in both kinds of store."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from engine.session.journal import Event, JournalContent
from engine.store.connect import Store, open_store
from engine.store.errors import DivergedError
from engine.store.filing import JobRecord, file_job, rebuild, record_of
from engine.store.identity import Writer
from engine.store.rows import filed
from engine.store.tables import WORKED_OUT, events
from tests.engine.store.jobs import job_events, journal_of

MARIA = Writer("maria", "north shop")


def an_id(letter: str) -> str:
    return "-".join(letter * count for count in (8, 4, 4, 4, 12))


def record(made: list[Event], name: str = "2026-11-30-0900") -> JobRecord:
    return record_of(name, journal_of(made), MARIA)


def tables_of(store: Store) -> dict[str, list[tuple[object, ...]]]:
    """Everything that is worked out, in an order of its own."""
    with store.reading() as connection:
        return {
            table.name: sorted((tuple(row) for row in connection.execute(select(table))), key=repr)
            for table in WORKED_OUT
        }


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(made=job_events(), cut=st.integers(0, 40))
def test_what_is_filed_piece_by_piece_and_twice_comes_back_whole(store: Store, made: list[Event], cut: int) -> None:
    begun, whole = record(made[: max(1, cut)]), record(made)
    with store.writing() as connection:
        news = [file_job(connection, part) for part in (begun, whole, whole, begun)]
    assert news == [len(begun.rows), len(whole.rows) - len(begun.rows), 0, 0]
    with store.reading() as connection:
        assert filed(connection, whole.job) == whole.rows


@settings(max_examples=10, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(several=st.lists(job_events(), min_size=1, max_size=4))
def test_all_that_is_worked_out_can_be_worked_out_again(store: Store, several: list[list[Event]]) -> None:
    with store.writing() as connection:
        for made in several:
            file_job(connection, record(made))
    before = tables_of(store)
    with store.writing() as connection:
        assert list(rebuild(connection))[-1] >= len({made[0].about for made in several})
    assert tables_of(store) == before


def test_a_job_that_was_gone_on_with_elsewhere_is_refused_and_both_are_kept(store: Store) -> None:
    shared = [Event("opened", "2026-11-30T09:00:00Z", about=an_id("a"), value="2026-11-30-0900")]
    here = [*shared, Event("answered", "2026-11-30T09:01:00Z", about="unit_power", value="lit")]
    there = [*shared, Event("answered", "2026-11-30T09:01:00Z", about="unit_power", value="dark")]
    with store.writing() as connection:
        file_job(connection, record(here))
    with pytest.raises(DivergedError, match="continued elsewhere"), store.writing() as connection:
        file_job(connection, record(there))
    with store.reading() as connection:
        assert [row.event for row in filed(connection, an_id("a"))] == here


def test_a_write_that_is_broken_off_leaves_nothing(store: Store) -> None:
    made = [Event("opened", "2026-11-30T09:00:00Z", about=an_id("b"), value="2026-11-30-0900")]
    with pytest.raises(ZeroDivisionError):
        _broken_off(store, made)
    with store.reading() as connection:
        assert connection.execute(select(events)).all() == []


def _broken_off(store: Store, made: list[Event]) -> None:
    with store.writing() as connection:
        file_job(connection, record(made))
        raise ZeroDivisionError


def test_a_journal_of_before_jobs_had_ids_gets_the_same_one_each_time() -> None:
    made = [Event("opened", "2026-01-05T09:00:00Z", value="2026-01-05-0900"), Event("noted", "2026-01-05T09:01:00Z")]
    first, again = record(made), record([*made, Event("noted", "2026-01-05T09:02:00Z", text="more")])
    elsewhere = record_of("2026-01-05-0900", journal_of(made), replace(MARIA, counter="south shop"))
    assert first.job == again.job != elsewhere.job


def test_a_line_that_is_spoilt_later_costs_itself_alone(store: Store) -> None:
    made = [
        Event("opened", "2026-11-30T09:00:00Z", about=an_id("c"), value="2026-11-30-0900"),
        *(Event("noted", f"2026-11-30T09:0{minute}:00Z", text=f"note {minute}") for minute in range(1, 5)),
    ]
    whole = journal_of(made)
    spoilt = JournalContent((*whole.events[:2], *whole.events[3:]), (*whole.numbers[:2], *whole.numbers[3:]))
    with store.writing() as connection:
        file_job(connection, record(made))
        assert file_job(connection, record_of("2026-11-30-0900", spoilt, MARIA)) == 0
    with store.reading() as connection:
        assert [row.event for row in filed(connection, an_id("c"))] == made


def test_a_store_is_found_as_it_was_left(address: str) -> None:
    made = [Event("opened", "2026-11-30T09:00:00Z", about=an_id("d"), value="2026-11-30-0900")]
    first = open_store(address)
    with first.writing() as connection:
        file_job(connection, record(made))
    first.close()
    again = open_store(address)
    with again.reading() as connection:
        assert [row.event for row in filed(connection, an_id("d"))] == made
    again.close()

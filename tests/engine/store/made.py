"""Jobs of people with names, telephones and streets, told event by event, and what a store holds of them."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from sqlalchemy import Table, select

from engine.session.journal import Event
from engine.store.connect import Store
from engine.store.filing import JobRecord, file_job, record_of
from engine.store.identity import Writer
from engine.store.tables import metadata, store_version
from tests.engine.store.jobs import journal_of

MARIA, JO = Writer("maria", "north shop"), Writer("jo", "south shop")
_BEGINS = datetime(2026, 3, 2, 9, tzinfo=UTC)


def an_id(number: int) -> str:
    """The id of a made-up job."""
    return str(uuid.UUID(int=number << 96))


def told(number: int, *said: Event | tuple[str, str], name: str = "", writer: Writer = MARIA) -> JobRecord:
    """The job of a number, opened so many days after the first; a pair is something recorded."""
    day = _BEGINS + timedelta(days=number)
    name = name or f"{day:%Y-%m-%d-%H%M}"
    opened = Event("opened", "", about=an_id(number), value=name, by=str(writer))
    made = [opened, *(one if isinstance(one, Event) else Event("recorded", "", *one) for one in said)]
    timed = [
        Event(**{**vars(event), "at": f"{day + timedelta(minutes=minute):%Y-%m-%dT%H:%M:%SZ}"})
        for minute, event in enumerate(made)
    ]
    return record_of(name, journal_of(timed), writer)


def garcia(
    number: int, *more: Event | tuple[str, str], name: str = "José García", site: str = "14 Oak Lane"
) -> JobRecord:
    """A job at a pool of somebody."""
    return told(number, ("customer", name), ("telephone", "+1 (713) 555-0142"), ("site", site), *more)


def answer(about: str, value: str | float) -> Event:
    """An answer to a check, typed in some words."""
    return Event("answered", "", about=about, value=value, text="typed so")


def file_all(store: Store, records: Sequence[JobRecord]) -> None:
    """Put them on file."""
    with store.writing() as connection:
        for record in records:
            file_job(connection, record)


def rows_of(store: Store, *tables: Table) -> dict[str, list[tuple[object, ...]]]:
    """What stands in these tables, by default in all, in an order of its own."""
    wanted = tables or tuple(table for table in metadata.sorted_tables if table is not store_version)
    with store.reading() as connection:
        return {
            table.name: sorted((tuple(row) for row in connection.execute(select(table))), key=repr) for table in wanted
        }

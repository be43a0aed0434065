"""A job is open at one place at a time, and a crash does not keep it for ever."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from engine.store.connect import Store
from engine.store.identity import Writer
from engine.store.leases import LASTS, give_back, take
from engine.store.tables import leases
from tests.engine.store.made import JO, MARIA, an_id, rows_of

NOW = datetime(2026, 5, 4, 9, 30, tzinfo=UTC)
LITTLE = timedelta(seconds=1)


def takes(store: Store, writer: Writer, now: datetime, job: int = 1) -> Writer | None:
    with store.writing() as connection:
        return take(connection, an_id(job), writer, now)


def test_who_comes_second_is_told_who_has_it_until_it_is_given_back(store: Store) -> None:
    assert takes(store, MARIA, NOW) is None
    assert takes(store, JO, NOW) == MARIA
    assert takes(store, JO, NOW, job=2) is None
    with store.writing() as connection:
        give_back(connection, an_id(1), JO)
    assert takes(store, JO, NOW) == MARIA
    with store.writing() as connection:
        give_back(connection, an_id(1), MARIA)
    assert takes(store, JO, NOW) is None


def test_it_ends_by_itself_unless_it_is_told_again(store: Store) -> None:
    takes(store, MARIA, NOW)
    assert takes(store, MARIA, NOW + LASTS - LITTLE) is None
    assert takes(store, JO, NOW + LASTS + LITTLE) == MARIA
    assert takes(store, JO, NOW + 2 * LASTS) is None
    assert takes(store, MARIA, NOW + 2 * LASTS) == JO
    assert len(rows_of(store, leases)["leases"]) == 1

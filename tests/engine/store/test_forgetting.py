"""Somebody forgotten: no word is left in any table, none comes in again, and all else stays as it was."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings

from engine.session.journal import Event
from engine.store.connect import Store
from engine.store.filing import file_job, rebuild
from engine.store.forgetting import forget, jobs_of, left_of
from engine.store.people import find_pools
from engine.store.tables import PERSONAL, events, forgotten, jobs, readings, said
from tests.engine.store.jobs import job_events
from tests.engine.store.made import JO, an_id, answer, file_all, garcia, rows_of, told
from tests.engine.store.test_filing import record, tables_of

AT = "2026-05-01T10:00:00Z"
HIS = (
    garcia(1, Event("noted", "", text="dog bites"), answer("tested_salt", 3200.0), ("cause", "cell_scaled")),
    garcia(2, ("pool", an_id(1)), ("photo", "garcia-cell.jpg")),
)
HERS = told(3, ("customer", "Ana Muñoz"), ("site", "14 Oak Lane"))
WORDS = ("Garc", "garc", "gar", "555", "0142", "dog", "typed so", "José", "jose")


def forget_him(store: Store) -> int:
    with store.reading() as connection:
        of_him = [job for job, _ in jobs_of(connection, an_id(1))]
    assert of_him == [an_id(1), an_id(2)]
    with store.writing() as connection:
        erased = forget(connection, of_him, JO, AT)
    with store.reading() as connection:
        assert left_of(connection, of_him, an_id(1)) == 0
    return erased


def test_nothing_personal_is_left_and_the_events_are_as_before(store: Store) -> None:
    file_all(store, [*HIS, HERS])
    before = rows_of(store, events, readings)
    hers = [row for row in rows_of(store, said)["said"] if row[0] == an_id(3)]
    assert forget_him(store) == 9
    kept = rows_of(store)
    assert {name: kept[name] for name in before} == before
    assert kept["said"] == hers
    assert not [word for word in WORDS if word in repr(kept)]
    assert [row[1:] for row in kept["forgotten"]] == [(AT, "jo", "south shop")] * 2
    assert "oak" in repr(kept["sought"])


def test_what_comes_in_later_of_a_forgotten_job_stays_without_words(store: Store) -> None:
    file_all(store, [*HIS, HERS])
    forget_him(store)
    before = rows_of(store, *PERSONAL)
    file_all(store, [garcia(1, *_more(), ("customer", "José García"), ("telephone", "555 0142"))])
    assert rows_of(store, *PERSONAL) == before
    with store.writing() as connection:
        list(rebuild(connection))
    assert rows_of(store, *PERSONAL) == before
    assert len([row for row in rows_of(store, events)["events"] if row[0] == an_id(1)]) == 9


def _more() -> tuple[Event | tuple[str, str], ...]:
    return (Event("noted", "", text="dog bites"), answer("tested_salt", 3200.0), ("cause", "cell_scaled"))


def test_forgetting_twice_is_forgetting_once(store: Store) -> None:
    file_all(store, HIS)
    forget_him(store)
    before = rows_of(store)
    with store.writing() as connection:
        assert forget(connection, [an_id(1), an_id(2)], JO, AT) == 0
    assert rows_of(store) == before


def test_of_whom_only_a_job_thrown_away_tells_he_can_be_forgotten(store: Store) -> None:
    file_all(store, [garcia(1, ("thrown_away", "yes")), garcia(2), told(3, ("pool", an_id(2)), ("customer", "Luis"))])
    with store.reading() as connection:
        assert [pool.pool for pool in find_pools(connection, "garcia")] == [an_id(1)]
    file_all(store, [garcia(2, ("thrown_away", "yes"))])
    with store.reading() as connection:
        assert [pool.name for pool in find_pools(connection, "oak")] == ["José García"]
    with store.writing() as connection:
        forget(connection, [an_id(1)], JO, AT)
    with store.reading() as connection:
        assert left_of(connection, [an_id(1)], an_id(1)) == 0


@settings(max_examples=10, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(made=job_events())
def test_whatever_a_job_holds_its_answers_outlive_its_words(store: Store, made: list[Event]) -> None:
    whole = record(made)
    with store.writing() as connection:
        file_job(connection, whole)
    before = [row for row in rows_of(store, jobs)["jobs"] if row[0] == whole.job]
    with store.writing() as connection:
        forget(connection, [whole.job], JO, AT)
    after = [row for row in rows_of(store, jobs)["jobs"] if row[0] == whole.job]
    # What is undone in words undoes nothing once these are gone, so only what does not hang on them is the same.
    assert [row[:5] for row in after] == [row[:5] for row in before]
    assert whole.job in {row[0] for row in rows_of(store, forgotten)["forgotten"]}
    worked_out = tables_of(store)
    with store.writing() as connection:
        assert file_job(connection, whole) == 0
        list(rebuild(connection))
    assert tables_of(store) == worked_out

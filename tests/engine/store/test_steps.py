"""A store is brought up to this version once, whole or not at all; a later one is left alone."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from pathlib import Path
from threading import Timer

import pytest
from sqlalchemy import Connection, inspect, select, text, update

from engine.store import connect, steps
from engine.store.connect import Store, is_server_address, open_store
from engine.store.errors import StoreError
from engine.store.filing import file_job
from engine.store.listing import Wanted, list_jobs
from engine.store.tables import VERSION, store_version
from tests.engine.store.made import file_all, garcia, rows_of
from tests.engine.store.places import address_of

VERSIONS = Path(__file__).parent / "versions"


@contextmanager
def driver(address: str) -> Iterator[Callable[[str], object]]:
    """What carries out one statement, past everything that is under test."""
    if is_server_address(address):
        import psycopg

        with psycopg.connect(address, autocommit=True) as server:
            yield lambda statement: server.execute(statement.encode())
    else:
        with closing(sqlite3.connect(address, isolation_level=None)) as file:
            yield lambda statement: file.execute(statement)


def older(address: str, version: int) -> None:
    """Make the tables as a version made them."""
    script = (VERSIONS / f"{version}-{'server' if is_server_address(address) else 'file'}.sql").read_text()
    with driver(address) as run:
        for statement in script.split(";\n"):
            if statement.strip():
                run(statement)


def shape(store: Store) -> object:
    """Every table with its columns and indexes."""
    with store.reading() as connection:
        looked = inspect(connection)
        return {
            table: (
                [(column["name"], repr(column["type"]), column["nullable"]) for column in looked.get_columns(table)],
                sorted((str(index["name"]), index["column_names"]) for index in looked.get_indexes(table)),
            )
            for table in looked.get_table_names()
        }


def a_version(store: Store) -> int | None:
    with store.reading() as connection:
        return connection.execute(select(store_version.c.version)).scalar()


@pytest.fixture
def two(tmp_path: Path, address: str) -> tuple[str, str]:
    """Two addresses of one kind."""
    return address, address_of("server" if is_server_address(address) else "file", tmp_path / "other")


@pytest.mark.parametrize("version", range(1, VERSION))
def test_every_earlier_version_becomes_this_one(two: tuple[str, str], version: int) -> None:
    address, other = two
    older(address, version)
    stores = [open_store(address), open_store(other)]
    for store in stores:
        file_all(store, [garcia(1)])
    assert shape(stores[0]) == shape(stores[1])
    assert rows_of(stores[0]) == rows_of(stores[1])
    assert [a_version(store) for store in stores] == [VERSION, VERSION]
    for store in stores:
        store.close()


def test_the_tables_of_a_later_version_are_left_alone(address: str) -> None:
    store = open_store(address)
    with store.writing() as connection:
        connection.execute(update(store_version).values(version=VERSION + 7))
    store.close()
    with pytest.raises(StoreError, match=rf"newer version \({VERSION + 7}; this program knows {VERSION}\)"):
        open_store(address)


@pytest.mark.parametrize("made", ["CREATE TABLE invoices (number INTEGER)", "CREATE TABLE jobs (job INTEGER)"])
def test_where_something_else_has_its_tables_none_are_made(address: str, made: str) -> None:
    with driver(address) as run:
        run(made)
    with pytest.raises(StoreError, match="not a job store"):
        open_store(address)
    with driver(address) as run, pytest.raises(Exception, match=r"no such table|does not exist"):
        run("SELECT * FROM events")


def _later(monkeypatch: pytest.MonkeyPatch, step: Callable[[Connection], None]) -> None:
    monkeypatch.setattr(steps, "VERSION", VERSION + 1)
    monkeypatch.setattr(steps, "STEPS", {**steps.STEPS, VERSION: step})


def test_a_step_is_taken_once_and_a_file_is_copied_before(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    store = open_store(address)
    file_all(store, [garcia(1)])
    before, taken = rows_of(store), []

    def step(connection: Connection) -> None:
        taken.append(1)
        connection.execute(text("CREATE TABLE tries (tried INTEGER)"))
        connection.execute(text("UPDATE jobs SET counter = 'moved'"))

    _later(monkeypatch, step)
    for _ in range(2):
        open_store(address).close()
    assert taken == [1]
    with store.reading() as connection:
        assert list_jobs(connection, Wanted(), 1)[0].counter == "moved"
    assert a_version(store) == VERSION + 1
    store.close()
    if not is_server_address(address):
        copy = Path(address).with_name(f"store-version-{VERSION}.sqlite")
        assert copy.stat().st_mode & 0o077 == 0
        monkeypatch.undo()
        with closing(open_store(str(copy))) as kept:
            assert rows_of(kept) == before


def test_a_step_that_fails_leaves_all_as_it_was(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    store = open_store(address)
    file_all(store, [garcia(1)])
    before, shaped = rows_of(store), shape(store)

    def step(connection: Connection) -> None:
        connection.execute(text("CREATE TABLE tries (tried INTEGER)"))
        connection.execute(text("DELETE FROM readings"))
        connection.execute(text("UPDATE jobs SET counter = NULL"))

    _later(monkeypatch, step)
    with pytest.raises(StoreError):
        open_store(address)
    monkeypatch.undo()
    assert (rows_of(store), shape(store), a_version(store)) == (before, shaped, VERSION)
    store.close()


def test_programs_that_begin_at_once_make_the_tables_once(address: str) -> None:
    def begin(number: int) -> None:
        store = open_store(address)
        with store.writing() as connection:
            file_job(connection, garcia(number))
        store.close()

    with ThreadPoolExecutor(6) as many:
        list(many.map(begin, range(1, 7)))
    with closing(open_store(address)) as store, store.reading() as connection:
        assert len(list_jobs(connection, Wanted(), 9)) == 6
        assert connection.execute(select(store_version.c.version)).scalars().all() == [VERSION]


def test_a_new_file_that_another_program_reads_is_waited_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The mode of a file is changed with nobody else in it. SQLite gives up at once where two change it, each reading
    and about to write (13 of 2,700 openings by six at a time, measured); here it is told to give up always.
    """
    monkeypatch.setattr(connect, "SETTLED", ("busy_timeout=0", *connect.SETTLED[1:]))
    path = tmp_path / "store.sqlite"
    with closing(sqlite3.connect(path, isolation_level=None, check_same_thread=False)) as other:
        other.execute("CREATE TABLE made (a INTEGER)")
        other.execute("DROP TABLE made")
        other.execute("BEGIN")
        other.execute("SELECT * FROM sqlite_master").fetchall()
        goes = Timer(0.3, lambda: other.execute("COMMIT"))
        goes.start()
        with closing(open_store(str(path))) as store:
            assert a_version(store) == VERSION
        goes.join()

"""The tables brought up to this version, one step after the other, each once; a later version's are left alone."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, inspect, select, text
from sqlalchemy.schema import CreateIndex, DropIndex

from engine.foundation.problems import why_not
from engine.foundation.texts import say
from engine.store.errors import StoreError
from engine.store.tables import VERSION, jobs, metadata, store_version

if TYPE_CHECKING:
    from engine.store.connect import Store


def _quick_lists(connection: Connection) -> None:
    """Each list has an index that gives its jobs in the order in which they are shown, and tells of danger."""
    connection.execute(text("ALTER TABLE jobs ADD COLUMN danger INTEGER DEFAULT 0 NOT NULL"))
    for name in ("jobs_by_due", "jobs_by_name"):
        connection.execute(DropIndex(next(index for index in jobs.indexes if index.name == name), if_exists=True))
    if connection.dialect.name == "postgresql":
        connection.execute(text('ALTER TABLE jobs ALTER COLUMN name TYPE VARCHAR(100) COLLATE "C"'))
    for index in sorted(jobs.indexes, key=lambda index: str(index.name)):
        connection.execute(CreateIndex(index, if_not_exists=True))


def _quick_danger(connection: Connection) -> None:
    """What is due begins with open jobs in danger: few, and sought among all that are open."""
    index = next(index for index in jobs.indexes if index.name == "jobs_by_danger")
    connection.execute(CreateIndex(index, if_not_exists=True))


STEPS: Mapping[int, Callable[[Connection], None]] = {1: _quick_lists, 2: _quick_danger}
"""By the version that a step starts from."""


def bring_up_to_date(store: Store) -> None:
    """Make the tables of a new store, and bring those of an older version up to this one, a copy of a file made before.

    Raises: StoreError where they are a later version's, or other tables are there.
    """
    with store.reading() as connection:
        if _version(connection) == VERSION:
            return
    with store.writing() as connection:
        # Another program may have made them meanwhile; now there is none.
        found = _version(connection)
        if not found:
            metadata.create_all(connection)
            connection.execute(store_version.insert().values(version=VERSION))
            return
        if found < VERSION and (path := store.file) is not None:
            _copy_before(path, found)
        for version in range(found, VERSION):
            STEPS[version](connection)
            connection.execute(store_version.update().values(version=version + 1))


def _copy_before(path: Path, version: int) -> None:
    copy = path.with_name(f"{path.stem}-version-{version}{path.suffix}")
    try:
        copy_file(path, copy)
    except (OSError, sqlite3.Error) as error:
        why = why_not(error) if isinstance(error, OSError) else str(error)
        raise StoreError(say("store.wrong.path", path=copy, why=why)) from error


def _version(connection: Connection) -> int:
    """The version of the tables; 0 where there are none yet.

    Raises: StoreError where they are a later version's, or it is something else that has its tables there.
    """
    there = inspect(connection).get_table_names()
    if not there:
        return 0
    if store_version.name not in there:
        raise StoreError(say("store.wrong.no_store"))
    found = connection.execute(select(store_version.c.version)).scalar()
    if not isinstance(found, int) or found < 1:
        raise StoreError(say("store.wrong.no_store"))
    if found > VERSION:
        raise StoreError(say("store.wrong.later", found=found, known=VERSION))
    return found


def copy_file(path: Path, copy: Path) -> None:
    """A copy of a store's file as it stands at one moment, while others write."""
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(copy)) as goal:
        source.backup(goal)
    copy.chmod(0o600)

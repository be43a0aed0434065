"""The tables brought up to this version, one step after the other, each once; a later version's are left alone."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, inspect, select, text

from engine.foundation.texts import say
from engine.store.errors import StoreError
from engine.store.tables import VERSION, metadata, store_version

if TYPE_CHECKING:
    from engine.store.connect import Store

STEPS: Mapping[int, Callable[[Connection], None]] = {}
"""By the version that a step starts from. There was no other before this one."""
_LOCK = 0x6272696E
"""A number for the server's lock: one program at a time makes the tables."""


def bring_up_to_date(store: Store) -> None:
    """Make the tables of a new store, and bring those of an older version up to this one, a copy of a file made before.

    Raises: StoreError where they are a later version's.
    """
    with store.reading() as connection:
        found = _version(connection)
    if found == VERSION:
        return
    if found > VERSION:
        raise StoreError(say("store.wrong.later", found=found, known=VERSION))
    if found and (path := store.file) is not None:
        copy_file(path, path.with_name(f"{path.stem}-version-{found}{path.suffix}"))
    with store.writing() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
        found = _version(connection)
        if not found:
            metadata.create_all(connection)
            connection.execute(store_version.insert().values(version=VERSION))
            return
        for version in range(found, VERSION):
            STEPS[version](connection)
            connection.execute(store_version.update().values(version=version + 1))


def _version(connection: Connection) -> int:
    """The version of the tables; 0 where there are none yet."""
    if not inspect(connection).has_table(store_version.name):
        return 0
    return int(connection.execute(select(store_version.c.version)).scalar_one())


def copy_file(path: Path, copy: Path) -> None:
    """A copy of a store's file as it stands at one moment, while others write."""
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(copy)) as goal:
        source.backup(goal)
    copy.chmod(0o600)

"""A store copied whole while others write, and such a copy put where there is no store yet."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from sqlalchemy import func, insert, select

from engine.foundation.problems import why_not
from engine.foundation.texts import say
from engine.store.connect import Store, is_server_address, open_store
from engine.store.errors import StoreError
from engine.store.filing import holds_any
from engine.store.steps import copy_file
from engine.store.tables import jobs, metadata, store_version

_AT_ONCE = 1000


def back_up(store: Store, file: Path) -> None:
    """Copy a store as it stands at one moment into a new file, whichever kind it is.

    Raises: StoreError where the file is there already or cannot be written.
    """
    if file.exists():
        raise StoreError(say("store.wrong.there_already", path=file))
    begun = file.with_name(f"{file.name}.part")
    try:
        with _told_of(file):
            # Its name is that of a backup only once it is whole: what is broken off must not be taken for one.
            begun.unlink(missing_ok=True)
            os.close(os.open(begun, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
            if store.file is not None:
                copy_file(store.file, begun)
            else:
                _pour(store, begun)
            begun.rename(file)
    finally:
        with suppress(OSError):
            begun.unlink(missing_ok=True)


@contextmanager
def _told_of(file: Path) -> Iterator[None]:
    """Turn what goes wrong with a file into the one line that is told."""
    try:
        yield
    except FileExistsError as error:
        raise StoreError(say("store.wrong.there_already", path=file)) from error
    except (OSError, sqlite3.Error) as error:
        why = why_not(error) if isinstance(error, OSError) else str(error)
        raise StoreError(say("store.wrong.path", path=file, why=why)) from error


def _pour(store: Store, file: Path) -> None:
    """Every row of every table into the store of a new file."""
    copy = open_store(str(file))
    try:
        pour(store, copy)
    finally:
        copy.close()


def pour(source: Store, goal: Store) -> None:
    """Copy every row into a store whose tables are empty. Raises StoreError where there are jobs already."""
    with source.reading() as rows, goal.writing() as connection:
        if holds_any(connection):
            raise StoreError(say("store.wrong.not_empty"))
        for table in metadata.sorted_tables:
            if table is store_version:
                continue
            found = rows.execution_options(yield_per=_AT_ONCE).execute(select(table)).mappings()
            for part in found.partitions(_AT_ONCE):
                connection.execute(insert(table), [dict(row) for row in part])


def restore(file: Path, address: str) -> int:
    """Put a backup where there is no store, or an empty one; how many jobs it holds.

    Raises: StoreError where there are jobs already, or the file is no backup.
    """
    if not file.is_file():
        raise StoreError(say("store.wrong.no_backup", path=file))
    if not is_server_address(address) and Path(address).expanduser().resolve() == file.resolve():
        raise StoreError(say("store.wrong.not_empty"))
    with tempfile.TemporaryDirectory() as folder:
        # The backup itself stays as it is, of whatever version, and may lie where nothing can be written.
        copy = Path(folder, "backup.sqlite")
        with _told_of(file):
            shutil.copyfile(file, copy)
        if not copy.stat().st_size:
            raise StoreError(say("store.wrong.no_store"))
        with closing(open_store(str(copy))) as backup, closing(open_store(address)) as goal:
            pour(backup, goal)
            with goal.reading() as connection:
                return int(connection.execute(select(func.count()).select_from(jobs)).scalar_one())

"""A backup is the store of one moment, whole or not there; it is put only where no job is, in either kind of store."""

from __future__ import annotations

import sqlite3
import threading
from contextlib import closing
from pathlib import Path

import pytest

from engine.store import copies
from engine.store.connect import Store, open_store
from engine.store.copies import back_up, restore
from engine.store.errors import StoreError
from engine.store.forgetting import forget
from engine.store.listing import Wanted, list_jobs
from engine.store.rows import filed
from tests.engine.store.made import JO, MARIA, an_id, answer, file_all, garcia, rows_of, told
from tests.engine.store.places import KINDS, address_of
from tests.engine.store.test_leases import NOW, takes

JOBS = (garcia(1, answer("tested_salt", 3200.0)), garcia(2, ("pool", an_id(1))), told(3, ("customer", "Ana")))


@pytest.mark.parametrize("into", KINDS)
def test_it_is_put_back_into_either_kind_of_store(store: Store, into: str, tmp_path: Path) -> None:
    file_all(store, JOBS)
    takes(store, MARIA, NOW)
    with store.writing() as connection:
        forget(connection, [an_id(3)], JO, "2026-05-01T10:00:00Z")
    backup, goal = tmp_path / "kept.backup", address_of(into, tmp_path / "goal")
    back_up(store, backup)
    whole = backup.read_bytes()
    assert backup.stat().st_mode & 0o077 == 0
    backup.chmod(0o400)
    assert restore(backup, goal) == 3
    with closing(open_store(goal)) as copy:
        assert rows_of(copy) == rows_of(store)
    with pytest.raises(StoreError, match="only be restored where there is none"):
        restore(backup, goal)
    assert backup.read_bytes() == whole
    assert sorted(path.name for path in tmp_path.iterdir() if path.is_file() and "store" not in path.name) == [
        backup.name
    ]


def test_it_is_of_one_moment_while_another_writes(store: Store, address: str, tmp_path: Path) -> None:
    file_all(store, JOBS)
    goes_on = threading.Event()

    def write() -> None:
        with closing(open_store(address)) as other:
            for number in range(10, 100):
                if goes_on.is_set():
                    return
                file_all(other, [garcia(number, answer("tested_salt", 3200.0))])

    writer = threading.Thread(target=write)
    writer.start()
    backups = [tmp_path / f"{number}.backup" for number in range(3)]
    for backup in backups:
        back_up(store, backup)
    goes_on.set()
    writer.join()
    for backup in backups:
        with closing(open_store(str(backup))) as copy, copy.reading() as connection:
            found = list_jobs(connection, Wanted(), 200)
            assert len(found) >= len(JOBS)
            # Each job is in it whole or not at all.
            assert {len(filed(connection, line.job)) for line in found if line.job >= an_id(10)} <= {5}


def test_it_is_written_over_nothing_and_what_breaks_off_is_none(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file_all(store, JOBS)
    backup = tmp_path / "kept.backup"
    backup.write_text("mine")
    with pytest.raises(StoreError, match="already"):
        back_up(store, backup)
    assert backup.read_text() == "mine"

    def full(*_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr(copies, "copy_file", full)
    monkeypatch.setattr(copies, "_pour", full)
    with pytest.raises(StoreError, match="full"):
        back_up(store, tmp_path / "other.backup")
    assert not list(tmp_path.glob("other*"))


@pytest.mark.parametrize("content", [b"", b"no store", b"SQLite format 3\0" + b"\xff" * 5000])
def test_what_is_no_backup_is_not_put_anywhere(address: str, tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "some.file"
    file.write_bytes(content)
    with pytest.raises(StoreError, match="not a job store"):
        restore(file, address)
    with pytest.raises(StoreError, match="is not a file"):
        restore(tmp_path / "absent", address)


def test_a_store_is_not_put_back_onto_itself(tmp_path: Path) -> None:
    address = address_of("file", tmp_path)
    with closing(open_store(address)) as store:
        file_all(store, JOBS)
    with pytest.raises(StoreError, match="only be restored where there is none"):
        restore(Path(address), address)

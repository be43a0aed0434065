"""A job of the shop taken up here, wherever it was begun: nobody else at it, and its journal as the store has it."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from engine.foundation.texts import say
from engine.session.journal import Event, Journal, JournalError, event_line, job_ids, read_journal
from engine.store import leases
from engine.store.connect import Store, open_store
from engine.store.errors import StoreError
from engine.store.identity import job_uuid
from engine.store.rows import AT_A_DESK, FiledEvent
from interview.command_line.context import Places, clock
from interview.command_line.filed_jobs import filed_job, rows_of
from interview.command_line.store_access import send_waiting
from interview.command_line.telling_of import writer_here
from interview.storage import jobs, who
from interview.storage.atomic_write import write_whole
from interview.storage.jobs import JobError
from interview.storage.private import FILE

_TELL_AGAIN_S = leases.LASTS.total_seconds() / 3


@contextmanager
def taken_up_here(places: Places, typed: str) -> Iterator[str]:
    """Have a job for as long as this lasts; the name of its journal here, which holds all that the store has.

    Where the store is away, the journal that lies here goes on without it.

    Raises: JobError where there is no such job, or somebody else has it open; JournalError where its journal is open.
    """
    try:
        store = open_store(places.store_address)
    except StoreError:
        yield typed
        return
    try:
        with suppress(StoreError):
            send_waiting(store, places.jobs_folder)
        line = filed_job(store, _id_here(places.jobs_folder, typed))
        _take(store, line.job, line.name)
        name = _brought_here(places.jobs_folder, line.job, line.name, rows_of(store, line.job))
        with _kept_mine(store, line.job, line.name):
            yield name
    finally:
        store.close()


def _id_here(folder: Path, typed: str) -> str:
    """The id of the journal here that this is typed for; what is typed, where there is none: counters share names."""
    with suppress(JobError, JournalError):
        kept = jobs.find(folder, typed)
        return job_uuid(kept.id, kept.events, who.counter())
    return typed


def _take(store: Store, job: str, name: str) -> None:
    with store.writing() as connection:
        holder = leases.take(connection, job, writer_here(), clock())
    if holder is not None:
        raise JobError(say("store.taken", job=name, who=str(holder)))


@contextmanager
def _kept_mine(store: Store, job: str, name: str) -> Iterator[None]:
    """Tell again and again that the job is taken, and give it back at the end; a crash tells nothing any more."""
    done = threading.Event()

    def tell() -> None:
        while not done.wait(_TELL_AGAIN_S):
            with suppress(StoreError, JobError):
                _take(store, job, name)

    thread = threading.Thread(target=tell, name="lease", daemon=True)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()
        with suppress(StoreError), store.writing() as connection:
            leases.give_back(connection, job, writer_here())


def _brought_here(folder: Path, job: str, name: str, rows: tuple[FiledEvent, ...]) -> str:
    """The name of the job's journal in this folder, brought up to what is on file; one is made where there is none."""
    here = next((each for each in job_ids(folder) if _is_of(folder, each, job)), None)
    lines = {row.sequence: row.event for row in rows if row.sequence < AT_A_DESK}
    if here is None:
        return _written_anew(folder, name, lines)
    path = folder / f"{here}.jsonl"
    # Nobody may write in it meanwhile.
    journal = Journal(folder, here)
    try:
        last = max(read_journal(path).numbers)
        if max(lines, default=0) > last:
            write_whole(path, path.read_bytes() + _lines_from(last + 1, lines), FILE)
    finally:
        journal.close()
    return here


def _is_of(folder: Path, name: str, job: str) -> bool:
    with suppress(JournalError):
        return job_uuid(name, read_journal(folder / f"{name}.jsonl").events, who.counter()) == job
    return False


def _written_anew(folder: Path, name: str, lines: dict[int, Event]) -> str:
    """A journal with each event on the line that it has on file; under another name where this one is taken."""
    free = next(each for each in _names(name) if not (folder / f"{each}.jsonl").exists())
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    write_whole(folder / f"{free}.jsonl", _lines_from(1, lines), FILE)
    return free


def _lines_from(first: int, lines: dict[int, Event]) -> bytes:
    """The lines of a journal from one on; an empty one where the event of a line is not on file."""
    last = max(lines, default=0)
    return b"".join(event_line(lines[n]) if n in lines else b"\n" for n in range(first, last + 1))


def _names(name: str) -> Iterator[str]:
    yield name
    number = 2
    while True:
        yield f"{name}-{number}"
        number += 1

"""A job of the shop taken up here, wherever it was begun: nobody else at it, and its journal as the store has it."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from engine.session.journal import JournalError
from engine.store import leases
from engine.store.connect import Store, open_store
from engine.store.errors import StoreError
from interview.command_line.bringing_here import Brought, brought_here
from interview.command_line.context import Places, clock
from interview.command_line.filed_jobs import filed_job
from interview.command_line.store_access import send_waiting
from interview.command_line.telling_of import taken_by, writer_here
from interview.storage import jobs
from interview.storage.jobs import JobError

_TELL_AGAIN_S = leases.LASTS.total_seconds() / 3


@contextmanager
def taken_up_here(places: Places, typed: str) -> Iterator[Brought]:
    """Have a job for as long as this lasts: its journal here, with all that the store has.

    Where the store is away, the journal that lies here goes on without it.

    Raises: JobError where there is no such job, or somebody else has it open; JournalError where its journal is open.
    """
    try:
        store = open_store(places.store_address)
    except StoreError:
        yield Brought(typed)
        return
    try:
        with suppress(StoreError):
            send_waiting(store, places.jobs_folder)
        try:
            line = filed_job(store, typed, places.jobs_folder)
        except JobError as error:
            # What could not go in yet lies here all the same.
            if not _lies_here(places.jobs_folder, typed):
                raise error from None
            yield Brought(typed)
            return
        _take(store, line.job, line.name)
        brought = brought_here(store, places.jobs_folder, line.job, line.name)
        with _kept_mine(store, line.job, line.name):
            yield brought
    finally:
        store.close()


def _lies_here(folder: Path, typed: str) -> bool:
    with suppress(JobError, JournalError):
        return bool(jobs.find(folder, typed))
    return False


def _take(store: Store, job: str, name: str) -> None:
    with store.writing() as connection:
        holder = leases.take(connection, job, writer_here(), clock())
    if holder is not None:
        raise JobError(taken_by(name, holder))


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

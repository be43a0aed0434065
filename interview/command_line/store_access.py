"""The shop's store as commands use it: opened by its address, and what waits here put into it first."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import click

from engine.foundation.problems import shown
from engine.foundation.texts import say
from engine.knowledge.model import Knowledge
from engine.session.journal import Journal, JournalError, job_ids, read_journal
from engine.store.connect import Store, open_store
from engine.store.errors import DivergedError, ReadOnlyError, StoreError, UnfitError
from engine.store.filing import JobRecord, file_job, holds_any, record_of
from engine.store.identity import Writer, parted_from
from engine.store.known import KnownPool, known_pool
from engine.store.people import find_pools
from interview.command_line.context import BadInputError, Places, places_of
from interview.command_line.forgetting_here import erase_forgotten
from interview.storage import who
from interview.storage.unfiled import mark, marked, unmark


@dataclass(frozen=True)
class Sent:
    """What became of the jobs that waited: how many went in, and each that did not, with why not."""

    jobs: int
    refused: tuple[str, ...] = ()


@contextmanager
def shop_store(places: Places, send: bool = True) -> Iterator[Store]:
    """The store, with what waited here in it unless that is done apart (`send`).

    Raises: BadInputError where there is none, StoreError where it fails.
    """
    address = places.store_address
    if not address:
        raise BadInputError(say("store.no_store_here"))
    store = open_store(address)
    try:
        for why in _refused(store, places.jobs_folder) if send else ():
            print(f"brinecall: {shown(why)}", file=sys.stderr)
        yield store
    finally:
        store.close()


def pools_called(places: Places, knowledge: Knowledge, words: str, today: date) -> list[KnownPool]:
    """The pools that these words are of, with what is known of each on a day. Raises as `shop_store`."""
    with shop_store(places) as store, store.reading() as connection:
        return [known_pool(connection, pool, knowledge, today) for pool in find_pools(connection, words)]


def known_pools(ctx: click.Context, _: click.Parameter, incomplete: str) -> list[str]:
    """For shell completion: ids of pools and words of their names that begin so; none where the store is away."""
    typed = incomplete.lower()
    try:
        with shop_store(places_of(ctx), send=False) as store, store.reading() as connection:
            found = find_pools(connection, typed)
    except (BadInputError, StoreError):
        return []
    words = (word for pool in found for word in (pool.pool, *pool.name.lower().split()))
    return sorted({word for word in words if word.startswith(typed)})


def file_away(places: Places) -> None:
    """Put what waits into the store once an interview is over; where that fails a line says so, and nothing is lost."""
    folder = places.jobs_folder
    try:
        store = open_store(places.store_address)
        try:
            refused = send_waiting(store, folder).refused
        finally:
            store.close()
    except StoreError as error:
        refused = (f"{error}. {say('store.waiting', count=len(marked(folder)))}",)
    for why in refused:
        print(f"brinecall: {shown(why)}", file=sys.stderr)


def _refused(store: Store, folder: Path) -> tuple[str, ...]:
    """Send what waits; what did not go in, and why not. Whoever may only read reads all the same."""
    try:
        return send_waiting(store, folder).refused
    except ReadOnlyError as error:
        return (f"{error}. {say('store.waiting', count=len(marked(folder)))}",)


def send_waiting(store: Store, folder: Path, everything: bool = False) -> Sent:
    """Put into the store what is marked as not in it, or every job of the folder: as it is asked, or the store is new.

    Raises: StoreError where the store fails; what was not put in stays marked.
    """
    with store.reading() as connection:
        everything = everything or not holds_any(connection)
    waiting = job_ids(folder) if everything else marked(folder)
    refused = [why for job in waiting if (why := _send(store, folder, job))]
    erase_forgotten(store, folder)
    return Sent(len(waiting) - len(refused), tuple(refused))


def _file(store: Store, record: JobRecord) -> str:
    """Put a job on file; where it was gone on with elsewhere too, what is here as one of its own, and a line the first
    time that this happens."""
    try:
        with store.writing() as connection:
            file_job(connection, record)
    except DivergedError:
        apart = replace(record, job=parted_from(record.job, who.counter()))
        with store.writing() as connection:
            if file_job(connection, apart):
                return say("store.parted", job=record.name, id=apart.job[:8])
    return ""


def _send(store: Store, folder: Path, job: str) -> str:
    """Put one job into the store; why it was not, empty where it was. One that is open is marked still."""
    path = folder / f"{job}.jsonl"
    if not path.exists():
        unmark(folder, job)
        return ""
    journal = None
    try:
        journal = Journal(folder, job)
    except JournalError:
        # Somebody is at it, or it may only be read: what is there goes in all the same.
        mark(folder, job)
    try:
        content = read_journal(path)
        if content.events:
            told = _file(store, record_of(job, content, Writer(who.account(), who.counter())))
            if told:
                print(f"brinecall: {told}", file=sys.stderr)
        if journal is not None:
            unmark(folder, job)
    except JournalError as error:
        return str(error)
    except UnfitError as error:
        # Every other job goes in all the same.
        return f"{path}: {error}"
    finally:
        if journal is not None:
            journal.close()
    return ""

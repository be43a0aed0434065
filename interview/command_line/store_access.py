"""The shop's store as commands use it: opened by its address, and what waits here put into it first."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
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
from interview.storage.private import file_rights
from interview.storage.unfiled import mark, marked, unmark


@dataclass(frozen=True)
class Sent:
    """What became of the jobs that waited: how many went in, each that did not, with why not, and what is told beside.

    `parted` has a line for each that is kept as a job of its own from now on.
    """

    jobs: int
    refused: tuple[str, ...] = ()
    parted: tuple[str, ...] = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """All that is told of it."""
        return (*self.parted, *self.refused)


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
        tell_sent(_sent(store, places.jobs_folder) if send else ())
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


def filed_away(places: Places) -> Sent:
    """Put what waits into the store; where that fails a line says so, and nothing is lost."""
    folder = places.jobs_folder
    try:
        store = open_store(places.store_address)
        try:
            return send_waiting(store, folder)
        finally:
            store.close()
    except StoreError as error:
        return Sent(0, (_waits(error, folder),))


def tell_sent(lines: Iterable[str]) -> None:
    """Tell what became of what waited, beside what a command is for."""
    for line in lines:
        print(f"brinecall: {shown(line)}", file=sys.stderr)


def _sent(store: Store, folder: Path) -> tuple[str, ...]:
    """Send what waits; what is to be told of it. Whoever may only read reads all the same."""
    try:
        return send_waiting(store, folder).lines
    except ReadOnlyError as error:
        return (_waits(error, folder),)


def _waits(error: StoreError, folder: Path) -> str:
    return f"{error}. {say('store.waiting', count=len(marked(folder)))}"


def send_waiting(store: Store, folder: Path, everything: bool = False) -> Sent:
    """Put into the store what is marked as not in it, or every job of the folder: as it is asked, or the store is new.

    Raises: StoreError where the store fails; what was not put in stays marked.
    """
    with store.reading() as connection:
        everything = everything or not holds_any(connection)
    waiting = job_ids(folder) if everything else marked(folder)
    refused, parted = list[str](), list[str]()
    for job in waiting:
        try:
            parted += filter(None, [_send(store, folder, job)])
        except _NotSentError as error:
            refused.append(str(error))
    erase_forgotten(store, folder)
    return Sent(len(waiting) - len(refused), tuple(refused), tuple(parted))


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


class _NotSentError(Exception):
    """A job that did not go into the store, while others do; the text says which and why not."""


def _send(store: Store, folder: Path, job: str) -> str:
    """Put one job into the store; what is to be told of it. One that is open is marked still.

    Raises: _NotSentError where it is no job, or nothing that a store can hold.
    """
    path = folder / f"{job}.jsonl"
    if not path.exists():
        unmark(folder, job)
        return ""
    journal, told = None, ""
    try:
        journal = Journal(folder, job, rights=file_rights())
    except JournalError:
        # Somebody is at it, or it may only be read: what is there goes in all the same.
        mark(folder, job)
    try:
        content = read_journal(path)
        if content.events:
            told = _file(store, record_of(job, content, Writer(who.account(), who.counter())))
        if journal is not None:
            unmark(folder, job)
    except JournalError as error:
        raise _NotSentError(str(error)) from error
    except UnfitError as error:
        # Every other job goes in all the same.
        raise _NotSentError(f"{path}: {error}") from error
    finally:
        if journal is not None:
            journal.close()
    return told

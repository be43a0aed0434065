"""What is told of a job afterwards: into its journal where that lies here, else into the store alone."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from engine.foundation.texts import say
from engine.session.journal import Event
from engine.store import leases
from engine.store.connect import Store
from engine.store.filing import tell_of
from engine.store.identity import Writer
from engine.store.listing import JobLine
from interview.command_line.bringing_here import brought_here, journal_here
from interview.command_line.context import clock
from interview.command_line.store_access import send_waiting
from interview.storage import jobs, who
from interview.storage.jobs import JobError


def writer_here() -> Writer:
    """Who is at work here."""
    return Writer(who.account(), who.counter())


def taken_by(name: str, holder: Writer | None) -> str:
    """That somebody has a job open, and until when at most."""
    return say("store.taken", job=name, who=str(holder), minutes=round(leases.LASTS.total_seconds() / 60))


def tell(store: Store, folder: Path, line: JobLine, events: Sequence[Event]) -> None:
    """Add events to a job, wherever it was begun.

    Raises: JobError where somebody else has it open, JournalError where its journal is open or cannot be written,
        StoreError where the store cannot.
    """
    with store.reading() as connection:
        holder = leases.held_by(connection, line.job, clock())
    if holder not in (None, writer_here()):
        raise JobError(taken_by(line.name, holder))
    here = journal_here(folder, line.job, line.name)
    if here is None:
        with store.writing() as connection:
            tell_of(connection, line.job, events, writer_here())
        return
    # Somebody else may have gone on with it since it was written here.
    journal, _ = jobs.open_again(folder, brought_here(store, folder, line.job, here).name)
    try:
        for event in events:
            journal.write(event)
    finally:
        journal.close()
    send_waiting(store, folder)

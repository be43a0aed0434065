"""What is told of a job afterwards: into its journal where that lies here, else into the store alone."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from engine.session.journal import Event
from engine.store.connect import Store
from engine.store.filing import tell_of
from engine.store.identity import Writer
from engine.store.listing import JobLine
from interview.command_line.bringing_here import brought_here, journal_here
from interview.command_line.store_access import send_waiting
from interview.storage import jobs, who


def writer_here() -> Writer:
    """Who is at work here."""
    return Writer(who.account(), who.counter())


def tell(store: Store, folder: Path, line: JobLine, events: Sequence[Event]) -> None:
    """Add events to a job. Raises JournalError where it is open elsewhere or cannot be written, StoreError likewise."""
    here = journal_here(folder, line.job, line.name)
    if here is None:
        with store.writing() as connection:
            tell_of(connection, line.job, events, writer_here())
        return
    # Somebody else may have gone on with it since it was written here.
    journal, _ = jobs.open_again(folder, brought_here(store, folder, line.job, here))
    try:
        for event in events:
            journal.write(event)
    finally:
        journal.close()
    send_waiting(store, folder)

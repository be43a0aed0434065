"""What is told of a job afterwards: into its journal where that lies here, else into the store alone."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from engine.session.journal import Event, JournalError, read_journal
from engine.store.connect import Store
from engine.store.filing import tell_of
from engine.store.identity import Writer, job_uuid
from engine.store.listing import JobLine
from interview.command_line.store_access import send_waiting
from interview.storage import jobs, who


def writer_here() -> Writer:
    """Who is at work here."""
    return Writer(who.account(), who.counter())


def lies_here(folder: Path, line: JobLine) -> bool:
    """Whether the journal of a job lies in this folder."""
    with suppress(JournalError):
        content = read_journal(folder / f"{line.name}.jsonl")
        return bool(content.events) and job_uuid(line.name, content.events, who.counter()) == line.job
    return False


def tell(store: Store, folder: Path, line: JobLine, events: Sequence[Event]) -> None:
    """Add events to a job. Raises JournalError where it is open elsewhere or cannot be written, StoreError likewise."""
    if not lies_here(folder, line):
        with store.writing() as connection:
            tell_of(connection, line.job, events, writer_here())
        return
    journal, _ = jobs.open_again(folder, line.name)
    try:
        for event in events:
            journal.write(event)
    finally:
        journal.close()
    send_waiting(store, folder)

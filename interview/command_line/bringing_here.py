"""The journal of a job in this folder as the store has it, wherever the job was begun and gone on with."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from engine.session.journal import Event, Journal, JournalError, event_line, job_ids, read_journal
from engine.store.connect import Store
from engine.store.identity import job_uuid
from engine.store.rows import AT_A_DESK, FiledEvent, filed
from interview.storage import who
from interview.storage.atomic_write import write_whole
from interview.storage.private import file_rights, folder_rights


@dataclass(frozen=True)
class Brought:
    """The name of a job's journal here, and what was told of it at a desk elsewhere, which no journal holds."""

    name: str
    told: tuple[Event, ...] = ()


def brought_here(store: Store, folder: Path, job: str, name: str) -> Brought:
    """A job's journal in this folder, brought up to what is on file; one is made where there is none.

    Raises: JournalError where it is open elsewhere, or cannot be written.
    """
    with store.reading() as connection:
        rows = filed(connection, job)
    told = tuple(row.event for row in rows if row.sequence >= AT_A_DESK)
    return Brought(_brought(folder, job, name, rows), told)


def journal_here(folder: Path, job: str, likely: str = "") -> str | None:
    """The name of the journal of this id in a folder; None where none is. Args: `likely`, what it may be called."""
    if likely and _is_of(folder, likely, job):
        return likely
    return next((each for each in job_ids(folder) if _is_of(folder, each, job)), None)


def _brought(folder: Path, job: str, name: str, rows: tuple[FiledEvent, ...]) -> str:
    """The name of the job's journal in this folder, brought up to what is on file; one is made where there is none."""
    here = journal_here(folder, job, name)
    lines = {row.sequence: row.event for row in rows if row.sequence < AT_A_DESK}
    if here is None:
        return _written_anew(folder, name, lines)
    path = folder / f"{here}.jsonl"
    # Nobody may write in it meanwhile.
    journal = Journal(folder, here, rights=file_rights())
    try:
        # Whoever has it open has ended its last line; one that is spoilt keeps its place.
        whole = path.read_bytes()
        written = whole.count(b"\n")
        if max(lines, default=0) > written:
            write_whole(path, whole + _lines_from(written + 1, lines), file_rights())
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
    folder.mkdir(mode=folder_rights(), parents=True, exist_ok=True)
    write_whole(folder / f"{free}.jsonl", _lines_from(1, lines), file_rights())
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

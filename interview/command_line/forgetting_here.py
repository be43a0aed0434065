"""What this counter keeps of people who were forgotten, here or at another counter: erased with the store's."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from engine.session.journal import JournalError
from engine.store.connect import Store
from engine.store.forgetting import forgotten_jobs
from interview.command_line.bringing_here import journal_here
from interview.storage.forgetting import erase_words, papers_of


def erase_here(folder: Path, jobs: Mapping[str, str]) -> int:
    """Erase the words of these jobs from the journals here, and their papers; how many papers there were.

    Args: the ids of the jobs, each with the name that its journal is likely to have.

    Raises: JournalError where one is open; OSError where one cannot be written.
    """
    papers = 0
    for job, name in jobs.items():
        here = journal_here(folder, job, name)
        if here is None:
            continue
        erase_words(folder, here)
        for path in papers_of(folder, here):
            path.unlink()
            papers += 1
    return papers


def erase_forgotten(store: Store, folder: Path) -> None:
    """Erase what lies here of whoever was forgotten at another counter; one that is open now, the next time."""
    with store.reading() as connection:
        gone = forgotten_jobs(connection)
    likely = {job: name for job, name in gone.items() if name and any(folder.glob(f"{name}*.*"))}
    for job, name in likely.items():
        with suppress(JournalError, OSError):
            erase_here(folder, {job: name})

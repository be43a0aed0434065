"""A job of the store by what is typed for it, and its session with the knowledge in use."""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime
from pathlib import Path

from engine.foundation.texts import say
from engine.session.journal import JournalError
from engine.session.models import Models
from engine.session.session import Session
from engine.store.connect import Store
from engine.store.identity import job_uuid
from engine.store.listing import JobLine, Wanted, jobs_called, list_jobs
from engine.store.rows import FiledEvent, filed
from interview.storage import jobs, who
from interview.storage.jobs import JobError

NEWEST = "last"
"""What is typed for the newest job."""
_MOST_NAMED = 5
_MOST_LOOKED_AT = 20


def filed_job(store: Store, typed: str, folder: Path) -> JobLine:
    """The job of this name or id, of the journal here that is called so, or the one of whom these words are of.

    `last` is the newest job of this folder, else the shop's. Of several jobs of somebody the open one is meant.

    Raises: JobError where none or several are meant.
    """
    with store.reading() as connection:
        here = _here(folder, typed)
        found = jobs_called(connection, here) if here else []
        if not found:
            found = list_jobs(connection, Wanted(), 1) if typed == NEWEST else jobs_called(connection, typed)
        if not found:
            of_whom = list_jobs(connection, Wanted(words=tuple(typed.split())), _MOST_LOOKED_AT) if typed else []
            still_open = [line for line in of_whom if line.state == "open"]
            found = still_open if len(still_open) == 1 else of_whom
    if len(found) == 1:
        return found[0]
    if not found:
        raise JobError(say("store.no_job", job=repr(typed)))
    named = ", ".join(_named(line) for line in found[:_MOST_NAMED])
    raise JobError(say("store.several_jobs", job=repr(typed), jobs=named, id=found[0].job[:8]))


def _named(line: JobLine) -> str:
    whose = f"{line.customer}, " if line.customer else ""
    return f"{line.job[:8]} ({whose}{line.name}, {line.counter})"


def _here(folder: Path, typed: str) -> str:
    """The id of the journal here that is meant; empty where none is."""
    with suppress(JobError, JournalError):
        if typed == NEWEST:
            kept = next((each for each in jobs.read_jobs(folder) if each.answers), None)
        else:
            kept = jobs.find(folder, typed)
        if kept is not None:
            return job_uuid(kept.id, kept.events, who.counter())
    return ""


def rows_of(store: Store, job: str) -> tuple[FiledEvent, ...]:
    """The events of a job, each with who wrote it."""
    with store.reading() as connection:
        return filed(connection, job)


def session_of(models: Models, rows: tuple[FiledEvent, ...]) -> Session:
    """The job taken up again with this knowledge."""
    return Session(models, [row.event for row in rows])


def local_time(at: str) -> str:
    """A time of an event as people here read it, to the minute."""
    try:
        return datetime.fromisoformat(at).astimezone().strftime("%Y-%m-%d %H:%M")
    except (ValueError, OverflowError):
        return at

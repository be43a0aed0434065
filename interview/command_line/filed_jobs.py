"""A job of the store by what is typed for it, and its session with the knowledge in use."""

from __future__ import annotations

from datetime import datetime

from engine.foundation.texts import say
from engine.session.models import Models
from engine.session.session import Session
from engine.store.connect import Store
from engine.store.listing import JobLine, Wanted, jobs_called, list_jobs
from engine.store.rows import FiledEvent, filed
from interview.storage.jobs import JobError

NEWEST = "last"
"""What is typed for the newest job."""
_MOST_NAMED = 5


def filed_job(store: Store, typed: str) -> JobLine:
    """The job of this name or id, or the one that begins or ends like it. Raises JobError where none or several do."""
    with store.reading() as connection:
        found = list_jobs(connection, Wanted(), 1) if typed == NEWEST else jobs_called(connection, typed)
    if len(found) == 1:
        return found[0]
    if not found:
        raise JobError(say("store.no_job", job=repr(typed)))
    named = ", ".join(f"{line.name} ({line.counter}, {line.job[:8]})" for line in found[:_MOST_NAMED])
    raise JobError(say("store.several_jobs", job=repr(typed), jobs=named))


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

"""Kept jobs: naming a new one, finding an open one, and taking one up again where it stands."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from engine.foundation.texts import say
from engine.session.journal import Event, Journal, JournalError, job_ids, read_events

if TYPE_CHECKING:
    from engine.session.models import Models
    from engine.session.session import Session

ENVIRONMENT = "BRINECALL_JOBS"


Clock = Callable[[], datetime]
"""Gives the time now, with its time zone."""


class JobError(Exception):
    """A job that cannot be found or taken up; the text says why and what to do."""


@dataclass(frozen=True)
class KeptJob:
    """A job as it is kept: its id, its events, and whether it is still open."""

    id: str
    events: tuple[Event, ...]
    is_open: bool

    @property
    def answers(self) -> int:
        """How many answers it holds."""
        return sum(event.kind == "answered" for event in self.events)


def default_folder() -> Path:
    """Where jobs are kept unless said otherwise: BRINECALL_JOBS, else the platform's place for a user's data."""
    if chosen := os.environ.get(ENVIRONMENT):
        return Path(chosen)
    if os.name == "nt" and (local := os.environ.get("LOCALAPPDATA")):
        return Path(local) / "brinecall" / "jobs"
    data = os.environ.get("XDG_DATA_HOME")
    return (Path(data) if data else _home() / ".local" / "share") / "brinecall" / "jobs"


def _home() -> Path:
    try:
        return Path.home()
    except RuntimeError as error:
        raise JobError(say("jobs.no_home")) from error


def stamp(clock: Clock) -> str:
    """The time now as events carry it: UTC in ISO 8601, to the second."""
    return clock().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def new_job(folder: Path, now: datetime) -> Journal:
    """Create a job named by the minute, such as `2026-11-25-1432`. Raises JournalError where it cannot be kept."""
    name = now.strftime("%Y-%m-%d-%H%M")
    taken = set(job_ids(folder))
    number = 1
    while True:
        job = name if number == 1 else f"{name}-{number}"
        number += 1
        if job in taken:
            continue
        try:
            return Journal(folder, job)
        except JournalError as error:
            # Another window has begun a job in the same instant.
            if not isinstance(error.__cause__, BlockingIOError):
                raise


def holds_something(journal: Journal) -> bool:
    """Whether anything was ever said in this job."""
    return any(event.kind != "opened" for event in read_events(journal.path))


def drop_if_empty(journal: Journal) -> bool:
    """Close the journal, and remove the job where nothing was ever said in it. Returns whether it was removed."""
    empty = not holds_something(journal)
    journal.close()
    if empty:
        journal.path.unlink()
    return empty


def open_jobs(folder: Path) -> list[KeptJob]:
    """The jobs that are not closed, newest first. A file that is no job is named on standard error and passed by."""
    found = []
    for job in reversed(job_ids(folder)):
        try:
            kept = _kept(folder, job)
        except JournalError as error:
            print(f"brinecall: {error}", file=sys.stderr)
            continue
        if kept.is_open and kept.answers:
            found.append(kept)
    return found


def find(folder: Path, typed: str) -> KeptJob:
    """The job of this id, or the one whose id begins or ends like it.

    Raises: JobError where none or several fit; JournalError where its file cannot be read.
    """
    ids = job_ids(folder)
    near = [typed] if typed in ids else [job for job in ids if job.startswith(typed) or job.endswith(typed)]
    if len(near) != 1:
        advice = _advice(near or ids)
        raise JobError(say("jobs.several" if near else "jobs.none", job=repr(typed), folder=folder, advice=advice))
    return _kept(folder, near[0])


def taken_up(models: Models, events: tuple[Event, ...], path: Path) -> Session:
    """The session of a kept job. Raises JobError where its events name what the fault trees do not know (any more)."""
    # Late: a new job needs no session before its first question.
    from engine.session.session import Session

    session = Session(models)
    for number, event in enumerate(events, start=1):
        try:
            session.record(event)
        except (ValueError, LookupError) as error:
            raise JobError(f"{path}:{number}: {error}; {say('jobs.changed_too_much')}") from error
    return session


def _kept(folder: Path, job: str) -> KeptJob:
    # Late: as above.
    from engine.session.job import effective

    events = read_events(folder / f"{job}.jsonl")
    ended = any(event.kind in ("closed", "handed_on") for event in effective(events))
    return KeptJob(job, events, not ended)


def _advice(ids: list[str]) -> str:
    if not ids:
        return say("jobs.start_one")
    return say("jobs.name_one", jobs=", ".join(ids[-5:]))

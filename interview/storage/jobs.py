"""Kept jobs: naming a new one, finding an open one, and taking one up again where it stands."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_data_path

from engine.foundation.problems import shown
from engine.foundation.texts import say
from engine.session.journal import Event, Journal, JournalError, SpoiltLine, job_ids, read_journal
from engine.session.taken_back import effective
from engine.session.told_later import in_time
from interview.storage.private import file_rights, tighten
from interview.storage.unfiled import mark, unmark

if TYPE_CHECKING:
    from engine.session.models import Models
    from engine.session.session import Session

ENVIRONMENT = "BRINECALL_JOBS"
_ID = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}-[0-9]{4}(-[0-9]+)?")
_MOST_TOLD = 5
"""So many spoilt lines or files are told one by one; of more it is said how many."""


Clock = Callable[[], datetime]
"""Gives the time now, with its time zone."""


class JobError(Exception):
    """A job that cannot be found or taken up; the text says why and what to do."""


@dataclass(frozen=True)
class KeptJob:
    """A job as it is kept: its id, its events, whether it is still open, and the lines of its file that are spoilt."""

    id: str
    events: tuple[Event, ...]
    is_open: bool
    spoilt: tuple[SpoiltLine, ...] = ()

    @property
    def answers(self) -> int:
        """How many answers it holds."""
        return sum(event.kind == "answered" for event in self.events)

    @property
    def says_something(self) -> bool:
        """Whether anything was ever said in it, and can be read."""
        return any(event.kind != "opened" for event in self.events)

    def with_told(self, told: Sequence[Event]) -> KeptJob:
        """The same with what was told of it at a desk elsewhere, which its file does not hold."""
        if not told:
            return self
        events = tuple(in_time(self.events, told, lambda event: event.at))
        return replace(self, events=events, is_open=_stands_open(events))

    def spoilt_lines(self) -> str:
        """Which lines of its file cannot be read, in a sentence; empty where all can."""
        if not self.spoilt:
            return ""
        named = "; ".join(f"{line.number} ({line.why})" for line in self.spoilt[:_MOST_TOLD])
        count = len(self.spoilt)
        more = say("jobs.and_more", count=count - _MOST_TOLD) if count > _MOST_TOLD else ""
        fields = {"job": self.id, "count": count, "lines": f"{named}{more}"}
        return say("jobs.spoilt_one", **fields) if count == 1 else say("jobs.spoilt", **fields)


def default_folder() -> Path:
    """Where jobs are kept unless said otherwise: BRINECALL_JOBS, else the platform's place for a user's data.

    Where jobs lie in the place of earlier versions and none in the platform's, they stay there.
    Raises JobError where this user has no place.
    """
    if chosen := os.environ.get(ENVIRONMENT):
        return Path(chosen)
    place, former = user_data_path("brinecall", appauthor=False) / "jobs", _former_folder()
    if place.parts[:1] == ("~",):
        raise JobError(say("jobs.no_home"))
    return former if former is not None and former.is_dir() and not place.is_dir() else place


def _former_folder() -> Path | None:
    """Where earlier versions kept jobs; None where they found no place."""
    if os.name == "nt" and (local := os.environ.get("LOCALAPPDATA")):
        return Path(local) / "brinecall" / "jobs"
    if data := os.environ.get("XDG_DATA_HOME"):
        return Path(data) / "brinecall" / "jobs"
    try:
        return Path.home() / ".local" / "share" / "brinecall" / "jobs"
    except RuntimeError:
        return None


def stamp(clock: Clock) -> str:
    """The time now as events carry it: UTC in ISO 8601, to the second."""
    return clock().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def new_job(folder: Path, now: datetime) -> Journal:
    """Create a job named by the minute, such as `2026-11-25-1432`. Raises JournalError where it cannot be kept.

    Where the clock was set back the newest job's minute stands in for its own, so that the newest stays the last.
    """
    name = f"{now:%Y}-{now:%m-%d-%H%M}".rjust(15, "0")
    newest = next((job for job in reversed(job_ids(folder)) if _ID.fullmatch(job)), "")
    name = max(name, newest[:15])
    number = int(newest[16:] or 1) + 1 if newest.startswith(name) else 1
    while True:
        try:
            journal = Journal(folder, name if number == 1 else f"{name}-{number}", new=True, rights=file_rights())
        except FileExistsError:
            # Another window has begun a job in the same instant.
            number += 1
        else:
            tighten_jobs(folder)
            mark(folder, journal.job)
            return journal


def open_again(folder: Path, job: str) -> tuple[Journal, KeptJob]:
    """Open a kept job to go on with it: its journal, and what it holds now that nobody else can write it.

    Raises: JobError where it is gone; JournalError where it cannot be read or is open elsewhere.
    """
    journal = Journal(folder, job, rights=file_rights())
    try:
        kept = read_job(folder, job)
    except JournalError:
        journal.close()
        raise
    if not kept.events:
        journal.remove()
        raise JobError(say("jobs.none", job=repr(job), folder=folder, advice=_advice(job_ids(folder))))
    tighten_jobs(folder)
    mark(folder, job)
    return journal, kept


def tighten_jobs(folder: Path) -> None:
    """Give the jobs and papers of a folder the rights that are settled, and the folder where it is our own."""
    tighten(folder, ours=_is_ours(folder))


def _is_ours(folder: Path) -> bool:
    """Whether a folder is this program's alone, and none that the user named."""
    with suppress(JobError):
        return not os.environ.get(ENVIRONMENT) and folder == default_folder()
    return False


def holds_something(journal: Journal) -> bool:
    """Whether anything was ever said in this job, so far as that can be seen."""
    try:
        content = read_journal(journal.path)
    except JournalError:
        return True
    return bool(content.spoilt) or any(event.kind != "opened" for event in content.events)


def drop_if_empty(journal: Journal) -> bool:
    """Close the journal, and remove the job where nothing was ever said in it. Returns whether it was removed."""
    empty = not holds_something(journal)
    if empty:
        journal.remove()
        unmark(journal.path.parent, journal.job)
    else:
        journal.close()
    return empty


def open_jobs(folder: Path) -> list[KeptJob]:
    """The jobs that are not closed, newest first."""
    return [kept for kept in read_jobs(folder) if kept.is_open and kept.says_something]


def read_jobs(folder: Path) -> Iterator[KeptJob]:
    """The jobs of a folder, newest first. Files that are no job are named on standard error and passed by."""
    wrong = 0
    for job in reversed(job_ids(folder)):
        try:
            yield read_job(folder, job)
        except JournalError as error:
            wrong += 1
            if wrong <= _MOST_TOLD:
                print(f"brinecall: {shown(str(error))}", file=sys.stderr)
            elif wrong == _MOST_TOLD + 1:
                print(f"brinecall: {say('jobs.more_wrong', folder=folder)}", file=sys.stderr)


def find(folder: Path, typed: str) -> KeptJob:
    """The job of this id, or the one whose id begins or ends like it.

    Raises: JobError where none or several fit; JournalError where its file cannot be read.
    """
    ids = job_ids(folder)
    near = [typed] if typed in ids else [job for job in ids if job.startswith(typed) or job.endswith(typed)]
    if len(near) != 1:
        advice = _advice(near or ids)
        raise JobError(say("jobs.several" if near else "jobs.none", job=repr(typed), folder=folder, advice=advice))
    return read_job(folder, near[0])


def taken_up(models: Models, kept: KeptJob) -> Session:
    """The session of a kept job. What its fault trees do not know (any more) is set aside in it."""
    # Late: a new job needs no session before its first question.
    from engine.session.session import Session

    return Session(models, kept.events)


def set_aside(session: Session) -> str:
    """What a kept job says that its fault trees can make nothing of, in a sentence; empty where there is nothing."""
    events = session.job.set_aside
    if not events:
        return ""
    named = "; ".join(shown(event.about or event.kind, 60) for event in events[:_MOST_TOLD])
    more = say("jobs.and_more", count=len(events) - _MOST_TOLD) if len(events) > _MOST_TOLD else ""
    fields = {"count": len(events), "what": f"{named}{more}"}
    return say("jobs.set_aside_one", **fields) if len(events) == 1 else say("jobs.set_aside", **fields)


def read_job(folder: Path, job: str) -> KeptJob:
    """What is kept of a job. Raises JournalError where its file cannot be read."""
    content = read_journal(folder / f"{job}.jsonl")
    return KeptJob(job, content.events, _stands_open(content.events), content.spoilt)


def _stands_open(events: Sequence[Event]) -> bool:
    ends = (event.kind in ("closed", "handed_on") or event.about == "thrown_away" for event in effective(events))
    return not any(ends)


def _advice(ids: list[str]) -> str:
    if not ids:
        return say("jobs.start_one")
    return say("jobs.name_one", jobs=", ".join(ids[-5:]))

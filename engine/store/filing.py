"""A job's events onto file, once each, and what follows from them into the other tables."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, Table, delete, insert, select

from engine.foundation.texts import say
from engine.session.journal import Event, JournalContent
from engine.store.errors import DivergedError, UnfitError
from engine.store.identity import Writer, job_uuid, written_by
from engine.store.people import place_pool
from engine.store.personal import in_two_parts
from engine.store.rows import AT_A_DESK, FiledEvent, filed
from engine.store.tables import WORKED_OUT, events, forgotten, jobs, outcomes, parts, readings, repairs, said
from engine.store.worked_out import WorkedOut, work_out


@dataclass(frozen=True)
class JobRecord:
    """One job as it goes into a store: its id, the short name that people use, and its events in order."""

    job: str
    name: str
    rows: tuple[FiledEvent, ...]


def record_of(name: str, content: JournalContent, usual: Writer) -> JobRecord:
    """A journal as it goes into a store; `usual` wrote what nobody's name stands at."""
    rows = (FiledEvent(number, event, writer) for number, event, writer in written_by(content, usual))
    return JobRecord(job_uuid(name, content.events, usual.counter), name, tuple(rows))


@dataclass(frozen=True)
class EventParts:
    """One row in its two parts: `payload` without anything said in free words, and these apart."""

    sequence: int
    at: str
    kind: str
    payload: dict[str, str | float]
    words: dict[str, str]
    writer: Writer

    @property
    def essence(self) -> tuple[str, str, str]:
        """What must be the same where the same row comes again: its free words may have been erased since."""
        return self.at, self.kind, json.dumps(self.payload, sort_keys=True, ensure_ascii=False)


def file_job(connection: Connection, record: JobRecord) -> int:
    """Put on file what is not there yet; filing the same twice is filing it once. Returns how many events were new.

    Raises: DivergedError where the job was gone on with elsewhere, so that its events are not these any more.
    """
    parts = [
        EventParts(row.sequence, row.event.at, row.event.kind, *in_two_parts(row.event), row.writer)
        for row in record.rows
    ]
    return file_parts(connection, record.job, record.name, parts)


def file_parts(connection: Connection, job: str, name: str, given: Sequence[EventParts]) -> int:
    """As `file_job`, for rows in two parts; `name` is what the job is called where it is refused."""
    columns = (events.c.sequence, events.c.at, events.c.kind, events.c.payload)
    known = {row[0]: tuple(row[1:]) for row in connection.execute(select(*columns).where(events.c.job == job))}
    new = [row for row in given if row.sequence not in known]
    last = max((number for number in known if number < AT_A_DESK), default=0)
    differs = any(known[row.sequence] != row.essence for row in given if row.sequence in known)
    if differs or any(row.sequence < last for row in new):
        raise DivergedError(say("store.wrong.diverged", job=name))
    if not new:
        return 0
    _insert(connection, events, [_event_row(job, row) for row in new])
    if not _is_forgotten(connection, job):
        free = [(row.sequence, *said_so) for row in new for said_so in row.words.items()]
        _insert(
            connection, said, [{"job": job, "sequence": n, "field": of, "words": said_so} for n, of, said_so in free]
        )
    try:
        work_out_again(connection, job, fresh=not known)
    except (ValueError, TypeError, OverflowError) as error:
        # A journal may come from anywhere, and hold a word where there should be a number, or a number beyond all.
        raise UnfitError(say("store.wrong.unfit")) from error
    return len(new)


def _event_row(job: str, row: EventParts) -> dict[str, object]:
    at, kind, payload = row.essence
    who = {"account": row.writer.account[:100], "counter": row.writer.counter[:100]}
    return {"job": job, "sequence": row.sequence, "at": at, "kind": kind, "payload": payload, **who}


def tell_of(connection: Connection, job: str, told: Sequence[Event], writer: Writer) -> None:
    """Add to a job on file what is told of it at a desk, where its journal is not at hand."""
    query = select(events.c.sequence).where(events.c.job == job, events.c.sequence >= AT_A_DESK)
    first = max(connection.execute(query).scalars(), default=AT_A_DESK - 1) + 1
    rows = tuple(FiledEvent(number, event, writer) for number, event in enumerate(told, start=first))
    file_job(connection, JobRecord(job, job, rows))


def holds_any(connection: Connection) -> bool:
    """Whether there is any job on file."""
    return connection.execute(select(events.c.job).limit(1)).first() is not None


def work_out_again(connection: Connection, job: str, fresh: bool = False) -> None:
    """Make anew what follows from a job's events; of a `fresh` one there is nothing yet."""
    before = None if fresh else connection.execute(select(jobs.c.pool).where(jobs.c.job == job)).scalar()
    rows = filed(connection, job)
    # Of a journal that had lost its beginning nothing may be left once its words are erased.
    follows = rows_that_follow(job, rows) if rows else {table: [] for table in OF_A_JOB}
    for table, found in follows.items():
        if not fresh:
            connection.execute(delete(table).where(table.c.job == job))
        _insert(connection, table, found)
    for pool in {before, *(row["pool"] for row in follows[jobs])} - {None}:
        place_pool(connection, str(pool))


OF_A_JOB = (jobs, outcomes, repairs, parts, readings)
"""The tables in which something follows from one job alone."""


def rows_that_follow(job: str, rows: Sequence[FiledEvent]) -> dict[Table, list[dict[str, object]]]:
    """What follows from a job's events, by table; what it tells of its pool is not among it."""
    found = work_out([row.event for row in rows])
    done, used = found.repairs.items(), found.by_hand.parts.items()
    read = found.readings.items()
    return {
        jobs: [{"job": job, **_job_row(job, found, rows)}],
        outcomes: [{"job": job, "cause": cause} for cause in dict.fromkeys(found.causes)],
        repairs: [{"job": job, "repair": one, "outcome": how, "at": at} for one, (how, at) in done],
        parts: [{"job": job, "part": part, "amount": amount, "unit": unit} for part, (amount, unit) in used],
        readings: [
            {"job": job, "reading": one, "at": last.at, "number": last.number, "answer": last.answer}
            for one, last in read
        ],
    }


def _job_row(job: str, found: WorkedOut, rows: Sequence[FiledEvent]) -> dict[str, object]:
    return {
        "name": found.name or job[:8],
        "counter": rows[0].writer.counter,
        "account": rows[-1].writer.account,
        "opened": found.opened,
        "latest": found.latest,
        "state": found.state,
        "role": found.set_up.get("role"),
        "complaint": found.set_up.get("complaint"),
        "unit": found.set_up.get("unit"),
        "decision": found.decision,
        "answers": found.answers,
        "minutes": found.by_hand.minutes.get("labour"),
        "helped": found.by_hand.facts.get("helped"),
        "came_back": found.by_hand.facts.get("came_back"),
        "due": found.due,
        "pool": _pool(job, found),
        "danger": int(bool(found.dangers)),
    }


def _pool(job: str, found: WorkedOut) -> str | None:
    """Where a job names somebody and no pool that is known, it is the first one of a pool, which has its id."""
    return found.pool or (job if found.names_somebody else None)


def rebuild(connection: Connection) -> Iterator[int]:
    """Make everything anew that follows from the events; yields how many jobs are done, at the end all."""
    known = connection.execute(select(events.c.job).distinct().order_by(events.c.job)).scalars().all()
    for table in WORKED_OUT:
        connection.execute(delete(table))
    for done, job in enumerate(known, start=1):
        work_out_again(connection, job, fresh=True)
        yield done


def _is_forgotten(connection: Connection, job: str) -> bool:
    return connection.execute(select(forgotten.c.job).where(forgotten.c.job == job)).first() is not None


def _insert(connection: Connection, table: Table, rows: list[dict[str, object]]) -> None:
    if rows:
        connection.execute(insert(table), rows)

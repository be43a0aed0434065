"""A job's events onto file, once each, and what follows from them into the other tables."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, Table, delete, insert, select, text

from engine.foundation.texts import say
from engine.session.journal import JournalContent
from engine.store.errors import DivergedError
from engine.store.identity import Writer, job_uuid, written_by
from engine.store.people import place_pool
from engine.store.personal import in_two_parts
from engine.store.rows import FiledEvent, filed
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


def file_job(connection: Connection, record: JobRecord) -> int:
    """Put on file what is not there yet; filing the same twice is filing it once. Returns how many events were new.

    Raises: DivergedError where the job was gone on with elsewhere, so that its events are not these any more.
    """
    _alone(connection, record.job)
    known = {
        row.sequence: (row.at, row.kind, row.payload)
        for row in connection.execute(
            select(events.c.sequence, events.c.at, events.c.kind, events.c.payload).where(events.c.job == record.job)
        )
    }
    there, free = list[dict[str, object]](), list[dict[str, object]]()
    for row in record.rows:
        kept, words = in_two_parts(row.event)
        essence = (row.event.at, row.event.kind, json.dumps(kept, sort_keys=True, ensure_ascii=False))
        if row.sequence in known:
            if known[row.sequence] != essence:
                raise DivergedError(say("store.wrong.diverged", job=record.name))
            continue
        at, kind, payload = essence
        of = {"job": record.job, "sequence": row.sequence}
        there.append(
            {**of, "at": at, "kind": kind, "payload": payload, "account": row.writer.account[:100]}
            | {"counter": row.writer.counter[:100]}
        )
        free += [{**of, "field": name, "words": typed} for name, typed in words.items()]
    if known and there and min(int(str(row["sequence"])) for row in there) < max(known):
        raise DivergedError(say("store.wrong.diverged", job=record.name))
    _insert(connection, events, there)
    if free and not _is_forgotten(connection, record.job):
        _insert(connection, said, free)
    if there:
        work_out_again(connection, record.job)
    return len(there)


def holds_any(connection: Connection) -> bool:
    """Whether there is any job on file."""
    return connection.execute(select(events.c.job).limit(1)).first() is not None


def work_out_again(connection: Connection, job: str) -> None:
    """Make anew what follows from a job's events."""
    rows = filed(connection, job)
    found = work_out([row.event for row in rows])
    before = connection.execute(select(jobs.c.pool).where(jobs.c.job == job)).scalar()
    for table in (jobs, outcomes, repairs, parts, readings):
        connection.execute(delete(table).where(table.c.job == job))
    connection.execute(insert(jobs).values(job=job, **_job_row(job, found, rows)))
    _insert(connection, outcomes, [{"job": job, "cause": cause} for cause in dict.fromkeys(found.causes)])
    _insert(
        connection,
        repairs,
        [{"job": job, "repair": one, "outcome": how, "at": at} for one, (how, at) in found.repairs.items()],
    )
    _insert(
        connection,
        parts,
        [
            {"job": job, "part": part, "amount": amount, "unit": unit}
            for part, (amount, unit) in found.by_hand.parts.items()
        ],
    )
    _insert(
        connection,
        readings,
        [
            {"job": job, "reading": check, "at": one.at, "number": one.number, "answer": one.answer}
            for check, one in found.readings.items()
        ],
    )
    for pool in {before, _pool(job, found)} - {None}:
        place_pool(connection, str(pool))


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
        work_out_again(connection, job)
        yield done


def _alone(connection: Connection, job: str) -> None:
    """Let nobody else file this job meanwhile; the file of one shop has one writer at a time anyway."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": int(job[:8], 16)})


def _is_forgotten(connection: Connection, job: str) -> bool:
    return connection.execute(select(forgotten.c.job).where(forgotten.c.job == job)).first() is not None


def _insert(connection: Connection, table: Table, rows: list[dict[str, object]]) -> None:
    if rows:
        connection.execute(insert(table), rows)

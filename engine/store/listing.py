"""Jobs on file: listed by what one looks for, one with its story, and what is due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import ColumnElement, Connection, Select, and_, or_, select

from engine.store.people import find_pools, plain
from engine.store.tables import jobs, outcomes, pools, readings


@dataclass(frozen=True)
class Wanted:
    """Which jobs are looked for: every field that is not empty must hold."""

    state: str = ""
    due_by: date | None = None
    account: str = ""
    pool: str = ""
    words: tuple[str, ...] = ()


@dataclass(frozen=True)
class JobLine:
    """One job in a list. `name` is what people call it by; `customer` is empty where nobody said, or is forgotten."""

    job: str
    name: str
    counter: str
    account: str
    opened: str
    latest: str
    state: str
    role: str | None
    complaint: str | None
    decision: str | None
    due: str | None
    pool: str | None
    customer: str
    causes: tuple[str, ...]


_LINE = (
    jobs.c.job, jobs.c.name, jobs.c.counter, jobs.c.account, jobs.c.opened, jobs.c.latest, jobs.c.state, jobs.c.role,
    jobs.c.complaint, jobs.c.decision, jobs.c.due, jobs.c.pool,
)  # fmt: skip


def list_jobs(connection: Connection, wanted: Wanted, most: int, after: int = 0) -> list[JobLine]:
    """Jobs that are looked for, the newest first, at most so many after so many."""
    query = select(*_LINE).order_by(jobs.c.opened.desc(), jobs.c.job.desc())
    query = query.where(jobs.c.state == wanted.state) if wanted.state else query.where(jobs.c.state != "thrown_away")
    if wanted.account:
        query = query.where(jobs.c.account == wanted.account)
    if wanted.pool:
        query = query.where(jobs.c.pool == wanted.pool)
    if wanted.due_by is not None:
        query = query.where(jobs.c.due <= wanted.due_by.isoformat())
    for word in wanted.words:
        query = query.where(_of_word(connection, word))
    return _lines(connection, query.limit(most).offset(after))


def _of_word(connection: Connection, word: str) -> ColumnElement[bool]:
    """A word is of whose pool it is, or begins or is the name, the counter or the complaint of a job."""
    named = [pool.pool for pool in find_pools(connection, word)]
    low = plain(word)
    return or_(
        jobs.c.pool.in_(named),
        and_(jobs.c.name >= word, jobs.c.name < word + "\U0010ffff"),
        jobs.c.complaint == low,
        jobs.c.counter == word,
    )


def due_jobs(connection: Connection, today: date, most: int) -> list[JobLine]:
    """What waits for somebody: first what is due today or was due before, the oldest first, then what is due later."""
    query = select(*_LINE).where(jobs.c.due.is_not(None)).order_by(jobs.c.due, jobs.c.opened).limit(most)
    found = _lines(connection, query)
    limit = today.isoformat()
    now = [line for line in found if line.due is not None and line.due <= limit]
    return sorted(now, key=lambda line: line.due != limit) + [line for line in found if line not in now]


def closed_jobs(connection: Connection, since: str = "") -> list[str]:
    """The ids of closed jobs opened on a day (ISO 8601) or later, the oldest first."""
    query = select(jobs.c.job).where(jobs.c.state == "closed", jobs.c.opened >= since)
    return list(connection.execute(query.order_by(jobs.c.opened, jobs.c.job)).scalars())


def jobs_called(connection: Connection, typed: str, most: int = 20) -> list[JobLine]:
    """The jobs of this id or short name, or else those whose short name begins or ends like it."""
    exact = _lines(connection, select(*_LINE).where(or_(jobs.c.job == typed, jobs.c.name == typed)).limit(most))
    if exact:
        return exact
    begins = and_(jobs.c.name >= typed, jobs.c.name < typed + "\U0010ffff")
    near = or_(begins, jobs.c.name.endswith(typed, autoescape=True), jobs.c.job.startswith(typed, autoescape=True))
    return _lines(connection, select(*_LINE).where(near).order_by(jobs.c.opened.desc()).limit(most))


@dataclass(frozen=True)
class PoolReading:
    """One reading of a pool over time: when, in which job, of which check, and what was read."""

    at: str
    job: str
    reading: str
    number: float | None
    answer: str | None


def readings_of_pool(connection: Connection, pool: str) -> list[PoolReading]:
    """Every reading of a pool's jobs, the oldest first."""
    rows = connection.execute(
        select(readings.c.at, readings.c.job, readings.c.reading, readings.c.number, readings.c.answer)
        .join(jobs, jobs.c.job == readings.c.job)
        .where(jobs.c.pool == pool, jobs.c.state != "thrown_away")
        .order_by(readings.c.at, readings.c.reading)
    )
    return [PoolReading(*row) for row in rows]


def _lines(connection: Connection, query: Select[tuple[object, ...]]) -> list[JobLine]:
    rows = connection.execute(query).mappings().all()
    names = _customers(connection, [row["pool"] for row in rows if row["pool"]])
    causes: dict[str, list[str]] = {}
    of_these = outcomes.c.job.in_([row["job"] for row in rows])
    for job, cause in connection.execute(select(outcomes).where(of_these).order_by(outcomes.c.cause)):
        causes.setdefault(job, []).append(cause)
    return [
        JobLine(**row, customer=names.get(row["pool"], ""), causes=tuple(causes.get(row["job"], ()))) for row in rows
    ]


def _customers(connection: Connection, of: Sequence[str]) -> dict[str, str]:
    found = connection.execute(select(pools.c.pool, pools.c.name).where(pools.c.pool.in_(of)))
    return {row.pool: row.name for row in found}

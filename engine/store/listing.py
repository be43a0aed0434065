"""Jobs on file: listed by what one looks for, one with its story, and what is due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from operator import attrgetter
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, and_, false, or_, select

from engine.store.identity import is_job_id
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


_LEAST_OF_ID = 4
"""So many figures of an id are a beginning that one looks for."""
_ENDS_OF_IDS = tuple("-".join(digit * count for count in (8, 4, 4, 4, 12)) for digit in "0f")
_NEWEST = attrgetter("opened", "job")
_LATE = 5000
"""Among so many jobs one is found by how its name ends: that nobody looks up in an index."""
_LINE = (
    jobs.c.job, jobs.c.name, jobs.c.counter, jobs.c.account, jobs.c.opened, jobs.c.latest, jobs.c.state, jobs.c.role,
    jobs.c.complaint, jobs.c.decision, jobs.c.due, jobs.c.pool,
)  # fmt: skip


def list_jobs(connection: Connection, wanted: Wanted, most: int, after: int = 0) -> list[JobLine]:
    """Jobs that are looked for, the newest first, at most so many after so many."""
    query = select(*_LINE)
    query = query.where(jobs.c.state == wanted.state) if wanted.state else query.where(jobs.c.state != "thrown_away")
    if wanted.account:
        query = query.where(jobs.c.account == wanted.account)
    if wanted.pool:
        query = query.where(jobs.c.pool == wanted.pool)
    if wanted.due_by is not None:
        query = query.where(jobs.c.due <= wanted.due_by.isoformat())
    for word in filter(str.strip, wanted.words):
        query = query.where(_of_word(connection, word))
    return _lines(connection, _newest_first(query, most).offset(after))


def _of_word(connection: Connection, word: str) -> ColumnElement[bool]:
    """A word is of whose pool it is, or begins or is the name, the counter or the complaint of a job.

    What it can be is looked up first: a choice of four would have every job looked through where few are meant.
    """
    complaint = "-".join(plain(word).split())
    choices = (
        jobs.c.pool.in_([pool.pool for pool in find_pools(connection, word)]),
        _beginning(word),
        jobs.c.complaint == complaint,
        jobs.c.counter == word,
    )
    held = [one for one in choices if connection.execute(select(jobs.c.job).where(one).limit(1)).first() is not None]
    return or_(*held) if held else false()


def _beginning(typed: str) -> ColumnElement[bool]:
    return and_(jobs.c.name >= typed, jobs.c.name < typed + "\U0010ffff")


def due_jobs(connection: Connection, today: date, most: int) -> list[JobLine]:
    """What waits for somebody: first what is due today, then what was due before, then what is due later."""
    day = today.isoformat()
    found: list[JobLine] = []
    for when in (jobs.c.due == day, jobs.c.due < day, jobs.c.due > day):
        query = select(*_LINE).where(when).order_by(jobs.c.due, jobs.c.opened, jobs.c.job)
        found += _lines(connection, query.limit(most - len(found)))
    return found


def jobs_called(connection: Connection, typed: str, most: int = 20) -> list[JobLine]:
    """The jobs of this id or short name; else those of which either begins like it, else the late ones that end so."""
    near = [_beginning(typed)]
    least, greatest = (typed + whole[len(typed) :] for whole in _ENDS_OF_IDS)
    if len(typed) >= _LEAST_OF_ID and is_job_id(least):
        # Ids are of one shape, and so lie alike in any server's order.
        near.append(jobs.c.job.between(least, greatest))
    late = select(jobs.c.job).order_by(jobs.c.opened.desc(), jobs.c.job.desc()).limit(_LATE)
    ends = and_(jobs.c.job.in_(late), jobs.c.name.endswith(typed, autoescape=True))
    # An empty word would be the beginning of all.
    for which in ((jobs.c.job == typed,), (jobs.c.name == typed,), *((near, (ends,)) if typed else ())):
        # Apart from each other, so that each goes by its index.
        found = [line for one in which for line in _lines(connection, _newest_first(select(*_LINE).where(one), most))]
        if found:
            return sorted({line.job: line for line in found}.values(), key=_NEWEST, reverse=True)[:most]
    return []


def _newest_first(query: Select[Any], most: int) -> Select[Any]:
    return query.order_by(jobs.c.opened.desc(), jobs.c.job.desc()).limit(most)


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


def _lines(connection: Connection, query: Select[Any]) -> list[JobLine]:
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
    rows = connection.execute(select(pools.c.pool, pools.c.name).where(pools.c.pool.in_(of)))
    return {row.pool: row.name for row in rows}

"""Jobs on file: listed by what one looks for, one with its story, and what is due."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import (
    BindParameter,
    ColumnElement,
    Connection,
    RowMapping,
    Select,
    and_,
    bindparam,
    exists,
    false,
    func,
    not_,
    or_,
    select,
)

from engine.store.identity import is_job_id
from engine.store.people import find_pools, plain
from engine.store.tables import jobs, outcomes, pools, readings


@dataclass(frozen=True)
class Wanted:
    """Which jobs are looked for: every field that is not empty must hold.

    `since` and `before` are times as events tell them; a job was opened then or later, and before.
    """

    state: str = ""
    due_by: date | None = None
    account: str = ""
    pool: str = ""
    words: tuple[str, ...] = ()
    since: str = ""
    before: str = ""


@dataclass(frozen=True)
class JobLine:
    """One job in a list. `name` is what people call it by; `customer` is empty where nobody said, or is forgotten.

    `danger` is 1 where one was told of that nobody found safe since.
    """

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
    danger: int
    customer: str
    telephone: str
    causes: tuple[str, ...]


_LEAST_OF_ID = 4
"""So many figures of an id are a beginning that one looks for."""
_ENDS_OF_IDS = tuple("-".join(digit * count for count in (8, 4, 4, 4, 12)) for digit in "0f")
_LAST = "\U0010ffff"
_AT_A_TIME = 1000
_LATE = 5000
"""Among so many jobs one is found by how its name ends: that nobody looks up in an index."""
_NEWEST_FIRST = (jobs.c.opened.desc(), jobs.c.job.desc())
_DUE_FIRST = (jobs.c.due, jobs.c.opened, jobs.c.job)
_DAY: BindParameter[str] = bindparam("day")
_TYPED: BindParameter[str] = bindparam("typed")
_COMPLAINT: BindParameter[str] = bindparam("complaint")
_MOST: BindParameter[int] = bindparam("most")
# What is asked often is put together once: that takes the library longer than the server takes to answer.
_LINES = select(
    jobs.c.job, jobs.c.name, jobs.c.counter, jobs.c.account, jobs.c.opened, jobs.c.latest, jobs.c.state, jobs.c.role,
    jobs.c.complaint, jobs.c.decision, jobs.c.due, jobs.c.pool, jobs.c.danger,
    func.coalesce(pools.c.name, "").label("customer"),
    func.coalesce(pools.c.telephone, "").label("telephone"),
).select_from(jobs.outerjoin(pools, pools.c.pool == jobs.c.pool))  # fmt: skip
_CAUSES = select(outcomes).where(outcomes.c.job.in_(bindparam("of", expanding=True))).order_by(outcomes.c.cause)
_CALLED = _LINES.where(or_(jobs.c.job == _TYPED, jobs.c.name == _TYPED)).order_by(*_NEWEST_FIRST).limit(_MOST)
_NAMED = and_(jobs.c.name >= _TYPED, jobs.c.name < bindparam("after"))
_WHAT_IT_IS = select(
    exists().where(_NAMED), exists().where(jobs.c.complaint == _COMPLAINT), exists().where(jobs.c.counter == _TYPED)
)
_IN_DANGER = and_(jobs.c.danger == 1, jobs.c.state == "open")
_DUE = (
    _LINES.where(_IN_DANGER).order_by(*_NEWEST_FIRST).limit(_MOST),
    *(
        _LINES.where(when, not_(_IN_DANGER)).order_by(*_DUE_FIRST).limit(_MOST)
        for when in (jobs.c.due == _DAY, jobs.c.due < _DAY, jobs.c.due > _DAY)
    ),
)


def list_jobs(connection: Connection, wanted: Wanted, most: int, after: int = 0) -> list[JobLine]:
    """Jobs that are looked for, the newest first, at most so many after so many."""
    query = _LINES
    query = query.where(jobs.c.state == wanted.state) if wanted.state else query.where(jobs.c.state != "thrown_away")
    if wanted.account:
        query = query.where(jobs.c.account == wanted.account)
    if wanted.pool:
        query = query.where(jobs.c.pool == wanted.pool)
    if wanted.due_by is not None:
        query = query.where(jobs.c.due <= wanted.due_by.isoformat())
    if wanted.since:
        query = query.where(jobs.c.opened >= wanted.since)
    if wanted.before:
        query = query.where(jobs.c.opened < wanted.before)
    for word in filter(str.strip, wanted.words):
        query = query.where(_of_word(connection, word))
    return _lines(connection, [query.order_by(*_NEWEST_FIRST).limit(most).offset(after)])


def every_job(connection: Connection, wanted: Wanted) -> Iterator[JobLine]:
    """All jobs that are looked for, the newest first, some at a time."""
    after = 0
    while found := list_jobs(connection, wanted, _AT_A_TIME, after):
        yield from found
        after += len(found)


def _of_word(connection: Connection, word: str) -> ColumnElement[bool]:
    """A word is of whose pool it is, or begins or is the name, the counter or the complaint of a job.

    What it can be is looked up first: a choice of four would have every job looked through where few are meant.
    """
    complaint = "-".join(plain(word).split())
    given = {"typed": word, "after": word + _LAST, "complaint": complaint}
    is_name, is_complaint, is_counter = connection.execute(_WHAT_IT_IS, given).one()
    named = [pool.pool for pool in find_pools(connection, word)]
    held = [
        *([jobs.c.pool.in_(named)] if named else []),
        *([and_(jobs.c.name >= word, jobs.c.name < word + _LAST)] if is_name else []),
        *([jobs.c.complaint == complaint] if is_complaint else []),
        *([jobs.c.counter == word] if is_counter else []),
    ]
    return or_(*held) if held else false()


def due_jobs(connection: Connection, today: date, most: int) -> list[JobLine]:
    """What waits for somebody: first open jobs in danger, then what is due today, was due before, is due later."""
    return _lines(connection, _DUE, most, day=today.isoformat())


def closed_jobs(connection: Connection, since: str = "") -> list[str]:
    """The ids of closed jobs opened on a day (ISO 8601) or later, the oldest first."""
    query = select(jobs.c.job).where(jobs.c.state == "closed", jobs.c.opened >= since)
    return list(connection.execute(query.order_by(jobs.c.opened, jobs.c.job)).scalars())


def closed_among(connection: Connection, ids: Sequence[str]) -> frozenset[str]:
    """Which of these jobs are on file and open no more."""
    query = select(jobs.c.job).where(jobs.c.job.in_(ids), jobs.c.state != "open")
    return frozenset(connection.execute(query).scalars())


def jobs_called(connection: Connection, typed: str, most: int = 20) -> list[JobLine]:
    """The jobs of this id or short name; else those of which either begins like it, else the late ones that end so."""
    if not typed:
        # It would be the beginning of all.
        return []
    if found := _lines(connection, [_CALLED], most, typed=typed):
        return found
    near = [and_(jobs.c.name >= typed, jobs.c.name < typed + _LAST)]
    least, greatest = (typed + whole[len(typed) :] for whole in _ENDS_OF_IDS)
    if len(typed) >= _LEAST_OF_ID and is_job_id(least):
        # Ids are of one shape, and so lie alike in any server's order.
        near.append(jobs.c.job.between(least, greatest))
    late = select(jobs.c.job).order_by(*_NEWEST_FIRST).limit(_LATE)
    ends = and_(jobs.c.job.in_(late), jobs.c.name.endswith(typed, autoescape=True))
    for which in (or_(*near), ends):
        if found := _lines(connection, [_LINES.where(which).order_by(*_NEWEST_FIRST).limit(_MOST)], most):
            return found
    return []


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


def _lines(connection: Connection, queries: Sequence[Select[Any]], most: int = 0, **given: str) -> list[JobLine]:
    """What queries find, one after the other, at most so many of all where that is said."""
    rows: list[RowMapping] = []
    for query in queries:
        rows += connection.execute(query, {**given, "most": most - len(rows)} if most else given).mappings()
    causes: dict[str, list[str]] = {}
    for job, cause in connection.execute(_CAUSES, {"of": [row["job"] for row in rows]}):
        causes.setdefault(job, []).append(cause)
    return [JobLine(**row, causes=tuple(causes.get(row["job"], ()))) for row in rows]

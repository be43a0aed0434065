"""What the record of a pool says today: what stays as it was, ages older by now, and the last reading of all else."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import Connection, func, select

from engine.knowledge.model import DANGER_CHECK, Check, Knowledge
from engine.store.listing import PoolReading, Wanted, list_jobs, readings_of_pool
from engine.store.people import Pool
from engine.store.tables import jobs, outcomes, repairs

_DAYS = {"months": 30.4375, "years": 365.25}
"""Days in a month and in a year, of the Julian calendar's mean."""
_HALF_A_YEAR = 183
_MOST_JOBS = 3
_DONE = ("done", "helped", "not_helped", "later")
"""Outcomes of a repair that was carried out."""


@dataclass(frozen=True)
class KnownAnswer:
    """An answer of an earlier visit, as it is today, and the day on which it was given or counts from (ISO 8601)."""

    check: str
    value: str | float
    day: str


@dataclass(frozen=True)
class KnownPool:
    """A pool with what its record says: what need not be asked again, the last of every other reading, its jobs."""

    pool: Pool
    unit: str | None
    remembered: tuple[KnownAnswer, ...]
    earlier: tuple[KnownAnswer, ...]
    jobs: tuple[KnownJob, ...] = ()


@dataclass(frozen=True)
class KnownJob:
    """An earlier job at a pool: its day, what the trouble was, what was decided, and what it turned out to be."""

    day: str
    complaint: str
    decision: str
    causes: tuple[str, ...]


def known_pool(connection: Connection, pool: Pool, knowledge: Knowledge, today: date) -> KnownPool:
    """What the record of a pool says on a day, by this knowledge."""
    read = readings_of_pool(connection, pool.pool)
    done = _done(connection, pool.pool)
    remembered = (
        *remembered_of(knowledge, read, renewed(knowledge, done), today),
        *recorded_of(knowledge, read, done, _found(connection, pool.pool, today), today),
    )
    # Danger is asked as if for the first time: an earlier "none" must not speak for today.
    taken = {answer.check for answer in remembered} | {DANGER_CHECK}
    last = {one.reading: one for one in read if one.reading in knowledge.checks}
    earlier = (KnownAnswer(name, _value(one), one.at[:10]) for name, one in last.items() if name not in taken)
    query = select(jobs.c.unit).where(jobs.c.pool == pool.pool, jobs.c.unit.is_not(None)).order_by(jobs.c.opened.desc())
    unit = connection.execute(query).scalars().first()
    before = list_jobs(connection, Wanted(pool=pool.pool), _MOST_JOBS)
    told = tuple(KnownJob(one.opened[:10], one.complaint or "", one.decision or "", one.causes) for one in before)
    return KnownPool(pool, unit if unit in knowledge.units else None, remembered, tuple(earlier), told)


def _done(connection: Connection, pool: str) -> list[tuple[str, str]]:
    """Every repair that was done at a pool with its day (ISO 8601), the oldest first."""
    query = (
        select(repairs.c.repair, repairs.c.at)
        .join(jobs, jobs.c.job == repairs.c.job)
        .where(jobs.c.pool == pool, jobs.c.state != "thrown_away", repairs.c.outcome.in_(_DONE))
        .order_by(repairs.c.at)
    )
    return [(row.repair, row.at[:10]) for row in connection.execute(query)]


def _found(connection: Connection, pool: str, today: date) -> Mapping[str, int]:
    """How many jobs of the last six months turned out to have each cause."""
    since = (today - timedelta(days=_HALF_A_YEAR)).isoformat()
    query = (
        select(outcomes.c.cause, func.count().label("jobs"))
        .join(jobs, jobs.c.job == outcomes.c.job)
        .where(jobs.c.pool == pool, jobs.c.state != "thrown_away", jobs.c.opened >= since)
        .group_by(outcomes.c.cause)
    )
    return {row.cause: row.jobs for row in connection.execute(query)}


def renewed(knowledge: Knowledge, done: Sequence[tuple[str, str]]) -> Mapping[str, str]:
    """When each thing that repairs renew was renewed last, by its name: the day in ISO 8601.

    Args: `done`, repairs with their days, the oldest first.
    """
    found: dict[str, str] = {}
    for name, day in done:
        repair = knowledge.repairs.get(name)
        if repair is not None and repair.renews is not None:
            found[repair.renews] = day
            if repair.renews == "cell":
                # A new cell is a clean one.
                found["cleaning"] = day
    return found


def recorded_of(
    knowledge: Knowledge,
    read: Sequence[PoolReading],
    done: Sequence[tuple[str, str]],
    found: Mapping[str, int],
    today: date,
) -> Iterator[KnownAnswer]:
    """What the record says of checks that nobody is asked: a reading before, how long ago, how often a cause was found.

    Args: readings, and repairs with their days, the oldest first; how often each cause was found; the day of today.
    """
    last = {one.reading: one for one in read}
    for check in knowledge.checks.values():
        for says, about in check.from_record.items():
            if says == "times":
                # That it was never told does not say that it never was.
                if count := found.get(about, 0):
                    place = min(count, len(check.answers) - 1)
                    yield KnownAnswer(check.id, check.answers[place].id, read[-1].at[:10] if read else "")
                continue
            told = last.get(about)
            if told is None or told.number is None or _changed_since(knowledge, about, told.at[:10], done):
                continue
            months = (today - date.fromisoformat(told.at[:10])).days / _DAYS["months"]
            value = told.number if says == "earlier" else round(months, 2)
            if _can_be(check, value):
                yield KnownAnswer(check.id, value, told.at[:10])


def _changed_since(knowledge: Knowledge, about: str, day: str, done: Sequence[tuple[str, str]]) -> bool:
    """Whether a repair that changes what a check reads was done on the day of the reading or since."""
    since = {name for name, at in done if at >= day}
    return any(about in knowledge.repairs[name].ask_again for name in since & knowledge.repairs.keys())


def remembered_of(
    knowledge: Knowledge, read: Sequence[PoolReading], renewed_on: Mapping[str, str], today: date
) -> Iterator[KnownAnswer]:
    """Of these readings, the oldest first, what need not be asked again.

    Args: `renewed_on`, the day on which each thing was renewed last, by its name.
    """
    last = {one.reading: one for one in read}
    for check in knowledge.checks.values():
        if check.remembered is None or any(answer.reports or answer.keeps_off for answer in check.answers):
            # Whatever an edit of the knowledge says: what tells of a danger is asked anew on each visit.
            continue
        told = last.get(check.id)
        if check.remembered == "stays" and told is not None and _can_be(check, _value(told)):
            yield KnownAnswer(check.id, _value(told), told.at[:10])
        elif check.remembered == "ages":
            ages = (_age(check, *since, today) for since in _counted_from(check, told, renewed_on))
            youngest = min((age for age in ages if _can_be(check, age.value)), key=lambda age: age.value, default=None)
            if youngest is not None:
                yield youngest


def _counted_from(check: Check, told: PoolReading | None, renewed_on: Mapping[str, str]) -> Iterator[tuple[str, float]]:
    """From which days an age counts, each with the age it had then."""
    if told is not None and told.number is not None:
        yield told.at[:10], told.number
    if check.renewed_by is not None and check.renewed_by in renewed_on:
        yield renewed_on[check.renewed_by], 0.0


def _age(check: Check, day: str, then: float, today: date) -> KnownAnswer:
    since = max((today - date.fromisoformat(day)).days, 0)
    return KnownAnswer(check.id, round(then + since / _DAYS[check.unit or "years"], 1), day)


def _can_be(check: Check, value: str | float) -> bool:
    """Whether a check can have this answer; the knowledge may have changed since it was given."""
    if isinstance(value, str):
        return any(answer.id == value for answer in check.answers) and check.unit is None
    return check.possible is not None and check.possible[0] <= value <= check.possible[1]


def _value(one: PoolReading) -> str | float:
    return one.number if one.number is not None else str(one.answer)

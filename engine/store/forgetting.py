"""Somebody forgotten: what was said in free words in their jobs is erased, and what follows from the rest stays."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, delete, func, insert, select

from engine.store.filing import work_out_again
from engine.store.identity import Writer
from engine.store.tables import forgotten, jobs, pools, said


def jobs_of(connection: Connection, person: str) -> list[tuple[str, str]]:
    """Every job at a pool of this person: its id and its short name, the oldest first."""
    query = (
        select(jobs.c.job, jobs.c.name)
        .join(pools, pools.c.pool == jobs.c.pool)
        .where(pools.c.person == person)
        .order_by(jobs.c.opened, jobs.c.job)
    )
    return [(row.job, row.name) for row in connection.execute(query)]


def forget(connection: Connection, of_them: Sequence[str], writer: Writer, at: str) -> int:
    """Erase what was said in free words in these jobs, now and of all that comes in later; how many words were erased.

    Names, telephones and streets go, and so does every note: anything may stand in one.
    """
    erased = 0
    for job in of_them:
        erased += put_out_of_mind(connection, job, at, writer)
        work_out_again(connection, job)
    return erased


def put_out_of_mind(connection: Connection, job: str, at: str, writer: Writer) -> int:
    """Erase the words of one job, and note that none are to come in again; how many words were erased."""
    erased = connection.execute(delete(said).where(said.c.job == job)).rowcount
    connection.execute(delete(forgotten).where(forgotten.c.job == job))
    connection.execute(insert(forgotten).values(job=job, at=at, account=writer.account, counter=writer.counter))
    return erased


def forgotten_jobs(connection: Connection) -> dict[str, str]:
    """Every job of somebody forgotten, by its id, with the name that its journal may have."""
    query = select(forgotten.c.job, jobs.c.name).outerjoin(jobs, jobs.c.job == forgotten.c.job)
    return {row.job: row.name or "" for row in connection.execute(query)}


def left_of(connection: Connection, of_them: Sequence[str], person: str) -> int:
    """How many rows still tell of somebody, in their jobs and as their pools: none once they are forgotten."""
    words = select(func.count()).select_from(said).where(said.c.job.in_(of_them))
    told = select(func.count()).select_from(pools).where(pools.c.person == person)
    return int(connection.execute(words).scalar_one()) + int(connection.execute(told).scalar_one())

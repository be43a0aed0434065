"""Who has a job open: one at a time, for so long as it is told again, so that a crash does not keep it for ever."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import Connection, delete, insert, select

from engine.store.identity import Writer
from engine.store.tables import leases

LASTS = timedelta(minutes=15)
"""Judgement: a telephone call that is broken off can be taken up at another counter after this."""


def take(connection: Connection, job: str, writer: Writer, now: datetime) -> Writer | None:
    """Take a job, or tell again that it is taken, from now on; who has it, where that is somebody else.

    The same account at the same counter may always take it again.
    """
    holder = held_by(connection, job, now)
    if holder not in (None, writer):
        return holder
    connection.execute(delete(leases).where(leases.c.job == job))
    until = (now + LASTS).isoformat(timespec="seconds")
    connection.execute(insert(leases).values(job=job, account=writer.account, counter=writer.counter, until=until))
    return None


def held_by(connection: Connection, job: str, now: datetime) -> Writer | None:
    """Who has a job open; None where nobody has, or was heard of for too long."""
    held = connection.execute(select(leases).where(leases.c.job == job)).mappings().first()
    if held is None or datetime.fromisoformat(held["until"]) <= now:
        return None
    return Writer(held["account"], held["counter"])


def give_back(connection: Connection, job: str, writer: Writer) -> None:
    """Let others take the job; nothing happens where somebody else has it."""
    mine = (leases.c.job == job, leases.c.account == writer.account, leases.c.counter == writer.counter)
    connection.execute(delete(leases).where(*mine))

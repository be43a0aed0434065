"""The tables of a store: the events, what was said in free words apart from them, and what is worked out from both."""

from __future__ import annotations

from typing import Final

from sqlalchemy import (
    Column,
    Float,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
)

VERSION: Final = 3
"""Of these tables; `steps.py` brings an older store up to it."""

metadata = MetaData()

_ID = String(36)
_NAME = String(100)
_TIME = String(40)
"""A time is text in ISO 8601 with its zone: SQLite has no type that keeps one."""
_BYTEWISE = String(100).with_variant(String(100, collation="C"), "postgresql")
"""Ordered by its bytes, so that the words that begin alike lie together in the index of either server."""

store_version = Table("store_version", metadata, Column("version", Integer, primary_key=True))

events = Table(
    "events",
    metadata,
    Column("job", _ID, nullable=False),
    Column("sequence", Integer, nullable=False),
    Column("at", _TIME, nullable=False),
    Column("kind", _NAME, nullable=False),
    Column("payload", String, nullable=False),
    Column("account", _NAME, nullable=False),
    Column("counter", _NAME, nullable=False),
    PrimaryKeyConstraint("job", "sequence"),
)
"""What happened, one row an event, only ever added to. `payload` is JSON without anything said in free words."""

said = Table(
    "said",
    metadata,
    Column("job", _ID, nullable=False),
    Column("sequence", Integer, nullable=False),
    Column("field", _NAME, nullable=False),
    Column("words", String, nullable=False),
    PrimaryKeyConstraint("job", "sequence", "field"),
    ForeignKeyConstraint(["job", "sequence"], ["events.job", "events.sequence"]),
)
"""Personal: what was typed, noted and recorded of people. Erased when somebody is to be forgotten."""

forgotten = Table(
    "forgotten",
    metadata,
    Column("job", _ID, primary_key=True),
    Column("at", _TIME, nullable=False),
    Column("account", _NAME, nullable=False),
    Column("counter", _NAME, nullable=False),
)
"""The jobs of people who are forgotten: what comes in of them later is kept without its words."""

leases = Table(
    "leases",
    metadata,
    Column("job", _ID, primary_key=True),
    Column("account", _NAME, nullable=False),
    Column("counter", _NAME, nullable=False),
    Column("until", _TIME, nullable=False),
)
"""Who has a job open, until when at most."""

# --- worked out from the events ---------------------------------------------------------------------------------------

jobs = Table(
    "jobs",
    metadata,
    Column("job", _ID, primary_key=True),
    Column("name", _BYTEWISE, nullable=False),
    Column("counter", _NAME, nullable=False),
    Column("account", _NAME, nullable=False),
    Column("opened", _TIME, nullable=False),
    Column("latest", _TIME, nullable=False),
    Column("state", _NAME, nullable=False),
    Column("role", _NAME),
    Column("complaint", _NAME),
    Column("unit", _NAME),
    Column("decision", _NAME),
    Column("answers", Integer, nullable=False),
    Column("minutes", Float),
    Column("helped", _NAME),
    Column("came_back", _NAME),
    Column("due", String(10)),
    Column("pool", _ID),
    Column("danger", Integer, nullable=False, server_default="0"),
    Index("jobs_by_time", "opened", "job"),
    Index("jobs_by_state", "state", "opened"),
    Index("jobs_by_name", "name", "opened"),
    Index("jobs_by_due", "due", "opened"),
    Index("jobs_by_complaint", "complaint", "opened"),
    Index("jobs_by_counter", "counter", "opened"),
    Index("jobs_by_pool", "pool", "opened"),
    Index("jobs_by_account", "account", "opened"),
    Index("jobs_by_danger", "danger", "state", "opened"),
)
outcomes = Table(
    "outcomes",
    metadata,
    Column("job", _ID, nullable=False),
    Column("cause", _NAME, nullable=False),
    PrimaryKeyConstraint("job", "cause"),
)
repairs = Table(
    "repairs",
    metadata,
    Column("job", _ID, nullable=False),
    Column("repair", _NAME, nullable=False),
    Column("outcome", _NAME, nullable=False),
    Column("at", _TIME, nullable=False),
    PrimaryKeyConstraint("job", "repair"),
)
parts = Table(
    "parts",
    metadata,
    Column("job", _ID, nullable=False),
    Column("part", _NAME, nullable=False),
    Column("amount", Float, nullable=False),
    Column("unit", _NAME, nullable=False),
    PrimaryKeyConstraint("job", "part"),
)
readings = Table(
    "readings",
    metadata,
    Column("job", _ID, nullable=False),
    Column("reading", _NAME, nullable=False),
    Column("at", _TIME, nullable=False),
    Column("number", Float),
    Column("answer", _NAME),
    PrimaryKeyConstraint("job", "reading"),
)
pools = Table(
    "pools",
    metadata,
    Column("pool", _ID, primary_key=True),
    Column("person", _ID, nullable=False),
    Column("name", String, nullable=False),
    Column("telephone", String, nullable=False),
    Column("site", String, nullable=False),
    Column("serial", String, nullable=False),
    Column("latest", _TIME, nullable=False),
    Index("pools_by_person", "person"),
)
"""Personal: whose it is, where, and which unit stands there, as told last; its readings are those of its jobs."""
sought = Table(
    "sought",
    metadata,
    Column("word", _BYTEWISE, nullable=False),
    Column("pool", _ID, nullable=False),
    PrimaryKeyConstraint("word", "pool"),
    Index("sought_by_pool", "pool"),
)
"""Personal: the words by which a pool is found, of name, telephone, street and serial number."""
grams = Table(
    "grams",
    metadata,
    Column("gram", _BYTEWISE, nullable=False),
    Column("word", _BYTEWISE, nullable=False),
    PrimaryKeyConstraint("gram", "word"),
)
"""Personal: three letters in a row, and the words they stand in: finds a word that is spelt otherwise."""

WORKED_OUT: Final = (jobs, outcomes, repairs, parts, readings, pools, sought, grams)
"""What is made again from the events; everything else is the truth itself."""
PERSONAL: Final = (said, pools, sought, grams)

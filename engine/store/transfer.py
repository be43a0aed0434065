"""Jobs out of a store and into another as JSON lines, one event each, with what was said in free words or without."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any, Final

from sqlalchemy import Connection, select

from engine.foundation.texts import say
from engine.session.journal import KINDS
from engine.store.errors import StoreError
from engine.store.filing import EventParts, file_parts
from engine.store.identity import NAMES_ITS_WRITER, Writer
from engine.store.tables import events, said

SCHEMA: Final = 1
"""Of the lines: `schema`, `job`, `sequence`, `at`, `kind`, `event` (no free words), `said`, `account`, `counter`."""
_TEXTS = ("job", "at", "kind", "account", "counter")


def export_lines(connection: Connection, people: bool) -> Iterator[str]:
    """Every event on file as a line of JSON, job by job; `people`: with free words, and with the names of accounts."""
    query = select(events).order_by(events.c.job, events.c.sequence)
    rows = connection.execution_options(yield_per=1000).execute(query).mappings()
    for job, of_it in groupby(rows, key=lambda row: row["job"]):
        words = _words(connection, job) if people else {}
        for row in of_it:
            event = json.loads(row["payload"])
            if not people and row["kind"] in NAMES_ITS_WRITER:
                event.pop("by", None)
            line = {name: row[name] for name in ("job", "sequence", "at", "kind", "counter")}
            line |= {"schema": SCHEMA, "event": event, "account": row["account"] if people else ""}
            spoken = words.get(row["sequence"])
            yield json.dumps(line | ({"said": spoken} if spoken else {}), ensure_ascii=False)


def _words(connection: Connection, job: str) -> dict[int, dict[str, str]]:
    found: dict[int, dict[str, str]] = {}
    for row in connection.execute(select(said.c.sequence, said.c.field, said.c.words).where(said.c.job == job)):
        found.setdefault(row.sequence, {})[row.field] = row.words
    return found


def import_lines(connection: Connection, lines: Iterable[str], name: str) -> tuple[int, int]:
    """Take in exported lines, each event once; how many jobs there were, and how many events were new.

    Raises: StoreError for a line that is none, with its number; DivergedError where a job is another one here.
    """
    read = ((number, line) for number, line in enumerate(lines, start=1) if line.strip())
    parts = (_parts(line, f"{name}:{number}") for number, line in read)
    jobs = news = 0
    for job, of_it in groupby(parts, key=lambda part: part[0]):
        jobs += 1
        news += file_parts(connection, job, job, [row for _, row in of_it])
    return jobs, news


def _parts(line: str, place: str) -> tuple[str, EventParts]:
    try:
        data: dict[str, Any] = json.loads(line)
        right = data["schema"] == SCHEMA and data["kind"] in KINDS and all(isinstance(data[n], str) for n in _TEXTS)
        event, words, sequence = data["event"], data.get("said", {}), data["sequence"]
        right = right and len(data["job"]) == 36 and isinstance(sequence, int) and not isinstance(sequence, bool)
        right = right and all(isinstance(value, str | int | float) for value in event.values())
        right = right and all(isinstance(value, str) for value in words.values())
    except (ValueError, RecursionError, KeyError, TypeError, AttributeError):
        right = False
    if not right:
        raise StoreError(say("store.wrong.no_line", place=place, schema=SCHEMA))
    writer = Writer(data["account"], data["counter"])
    return data["job"], EventParts(sequence, data["at"], data["kind"], event, words, writer)

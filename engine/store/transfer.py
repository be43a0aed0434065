"""Jobs out of a store and into another as JSON lines, one event each, with what was said in free words or without."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from sqlalchemy import Connection, select

from engine.foundation.plain_text import cleaned
from engine.foundation.texts import say
from engine.session.journal import VERSION as JOURNAL
from engine.session.journal import JournalError, event_of
from engine.store.errors import StoreError
from engine.store.filing import EventParts, file_parts, work_out_again
from engine.store.forgetting import put_out_of_mind
from engine.store.identity import NAMES_ITS_WRITER, Writer, is_job_id
from engine.store.personal import in_two_parts
from engine.store.tables import events, forgotten, said

SCHEMA: Final = 1
"""Of the lines: `schema`, `job`, `sequence`, `at`, `kind`, `event` (no free words), `said`, `account`, `counter`.

`forgotten` stands at every job of somebody who is forgotten: when, and by whom.
"""
_GONE = ("at", "account", "counter")
_GREATEST = 2**31 - 1
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ")


def export_lines(connection: Connection, people: bool) -> Iterator[str]:
    """Every event on file as a line of JSON, job by job; `people`: with free words, and with the names of accounts."""
    query = select(events).order_by(events.c.job, events.c.sequence)
    rows = connection.execution_options(yield_per=1000).execute(query).mappings()
    for job, of_it in groupby(rows, key=lambda row: row["job"]):
        words = _words(connection, job) if people else {}
        gone = _forgotten(connection, job, people)
        for row in of_it:
            event = json.loads(row["payload"])
            if not people and row["kind"] in NAMES_ITS_WRITER:
                event.pop("by", None)
            line = {name: row[name] for name in ("job", "sequence", "at", "kind", "counter")}
            line |= {"schema": SCHEMA, "event": event, "account": row["account"] if people else ""}
            spoken = words.get(row["sequence"])
            line |= {"said": spoken} if spoken else {}
            yield json.dumps(line | ({"forgotten": gone} if gone else {}), ensure_ascii=False)


def _words(connection: Connection, job: str) -> dict[int, dict[str, str]]:
    found: dict[int, dict[str, str]] = {}
    for row in connection.execute(select(said.c.sequence, said.c.field, said.c.words).where(said.c.job == job)):
        found.setdefault(row.sequence, {})[row.field] = row.words
    return found


def _forgotten(connection: Connection, job: str, people: bool) -> dict[str, str]:
    """When and by whom somebody was forgotten: elsewhere, too, the words of the job must not come in again."""
    row = connection.execute(select(forgotten).where(forgotten.c.job == job)).mappings().first()
    if row is None:
        return {}
    return {"at": row["at"], "account": row["account"] if people else "", "counter": row["counter"]}


def import_lines(connection: Connection, lines: Iterable[str], name: str) -> tuple[int, int]:
    """Take in exported lines, each event once; how many jobs there were, and how many events were new.

    Raises: StoreError for a line that is none, with its number; DivergedError where a job is another one here.
    """
    read = ((number, line) for number, line in enumerate(lines, start=1) if line.strip())
    found = (_line(line, f"{name}:{number}") for number, line in read)
    jobs = news = 0
    for job, of_it in groupby(found, key=lambda line: line.job):
        jobs += 1
        rows = list(of_it)
        gone = next((line.forgotten for line in rows if line.forgotten), None)
        if gone is not None:
            put_out_of_mind(connection, job, gone["at"], Writer(gone["account"], gone["counter"]))
        news += file_parts(connection, job, job, [line.parts for line in rows])
        if gone is not None:
            work_out_again(connection, job)
    return jobs, news


@dataclass(frozen=True)
class _Line:
    job: str
    parts: EventParts
    forgotten: Mapping[str, str]


def _line(line: str, place: str) -> _Line:
    """What a line holds, its texts clean and its free words apart, whoever wrote it."""
    try:
        data = json.loads(line)
        sequence, writer = data["sequence"], Writer(*(cleaned(data[name]) for name in ("account", "counter")))
        given = {"v": JOURNAL, "kind": data["kind"], "at": data["at"]}
        event = event_of(given | data["event"] | data.get("said", {}))
        gone = {name: cleaned(data["forgotten"][name]) for name in _GONE} if "forgotten" in data else {}
        right = data["schema"] == SCHEMA and is_job_id(data["job"]) and _TIME.fullmatch(event.at)
        right = right and type(sequence) is int and 0 < sequence <= _GREATEST
    except (ValueError, RecursionError, KeyError, TypeError, AttributeError, JournalError):
        right = None
    if not right:
        raise StoreError(say("store.wrong.no_line", place=place, schema=SCHEMA))
    return _Line(data["job"], EventParts(sequence, event.at, event.kind, *in_two_parts(event), writer), gone)

"""The events of a job as they are on file: read back whole, their free words with them where these are still there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, RowMapping, select

from engine.session.journal import Event
from engine.store.identity import Writer
from engine.store.personal import in_one
from engine.store.tables import events, said


@dataclass(frozen=True)
class FiledEvent:
    """One row: the event with the number of its line, and who wrote it."""

    sequence: int
    event: Event
    writer: Writer


def filed(connection: Connection, job: str) -> tuple[FiledEvent, ...]:
    """The events of a job on file, in their order; those of which nothing is left are passed by."""
    words: dict[int, dict[str, str]] = {}
    for row in connection.execute(select(said.c.sequence, said.c.field, said.c.words).where(said.c.job == job)):
        words.setdefault(row.sequence, {})[row.field] = row.words
    found = connection.execute(select(events).where(events.c.job == job).order_by(events.c.sequence))
    return tuple(_rows(found.mappings(), words))


def _rows(found: Iterable[RowMapping], words: dict[int, dict[str, str]]) -> Iterator[FiledEvent]:
    for row in found:
        number = row["sequence"]
        event = in_one(row["kind"], row["at"], row["payload"], words.get(number, {}))
        if event is not None:
            yield FiledEvent(number, event, Writer(row["account"], row["counter"]))

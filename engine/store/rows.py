"""The events of a job as they are on file: read back whole, their free words with them where these are still there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from sqlalchemy import Connection, RowMapping, bindparam, select

from engine.foundation.texts import say
from engine.session.journal import Event
from engine.session.told_later import in_time
from engine.store.errors import StoreError
from engine.store.identity import Writer
from engine.store.personal import in_one
from engine.store.tables import events, said


@dataclass(frozen=True)
class FiledEvent:
    """One row: the event with the number of its line, and who wrote it."""

    sequence: int
    event: Event
    writer: Writer


AT_A_DESK: Final = 1_000_000
"""From this number on are events that were told to the store itself, and stand in no journal: no journal is so long."""


# Put together once: that takes the library longer than the server takes to answer.
_WORDS = select(said.c.sequence, said.c.field, said.c.words).where(said.c.job == bindparam("of"))
_EVENTS = select(events).where(events.c.job == bindparam("of")).order_by(events.c.sequence)


def filed(connection: Connection, job: str) -> tuple[FiledEvent, ...]:
    """The events of a job on file, in their order; those of which nothing is left are passed by.

    What was told at a desk stands before what a journal tells of a later time.
    """
    words: dict[int, dict[str, str]] = {}
    for row in connection.execute(_WORDS, {"of": job}):
        words.setdefault(row.sequence, {})[row.field] = row.words
    found = connection.execute(_EVENTS, {"of": job})
    rows = tuple(_rows(found.mappings(), words))
    told = [row for row in rows if row.sequence >= AT_A_DESK]
    return tuple(in_time(rows[: len(rows) - len(told)], told, lambda row: row.event.at)) if told else rows


def _rows(found: Iterable[RowMapping], words: dict[int, dict[str, str]]) -> Iterator[FiledEvent]:
    for row in found:
        number = row["sequence"]
        try:
            event = in_one(row["kind"], row["at"], row["payload"], words.get(number, {}))
        except (ValueError, TypeError) as error:
            # The disk has spoilt it: nothing else has ever been written there.
            raise StoreError(say("store.wrong.no_store")) from error
        if event is not None:
            yield FiledEvent(number, event, Writer(row["account"], row["counter"]))

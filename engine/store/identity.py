"""Which job a journal is of, for ever and everywhere, and who wrote what in it."""

from __future__ import annotations

import re
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from engine.session.journal import RECORDED, Event, JournalContent

_NAMES = uuid.UUID("b5e1f0f6-0a3c-5a0f-8f0e-3c4f6f1f2d77")
"""A name space of our own, drawn at random."""
_ID = re.compile("[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
_BEGINS_TO_WRITE = ("opened", "resumed")
NAMES_ITS_WRITER = (*_BEGINS_TO_WRITE, RECORDED, "closed", "handed_on")
"""Events whose `by` says who wrote them, in the first two who writes from there on; any other's is an instrument."""


@dataclass(frozen=True)
class Writer:
    """Who wrote: the account on the machine and the counter it stands at."""

    account: str
    counter: str

    def __str__(self) -> str:
        return f"{self.account} @ {self.counter}"


def writer_of(text: str) -> Writer:
    """Who wrote, as an event carries it: `account @ counter`."""
    account, _, counter = text.partition(" @ ")
    return Writer(account, counter)


def is_job_id(text: str) -> bool:
    """Whether it is an id of a job: a journal may come from anywhere."""
    return _ID.fullmatch(text) is not None


def job_uuid(name: str, events: Sequence[Event], counter: str) -> str:
    """The id of a job: the one it was opened with, else one that always comes out the same from what it was opened as.

    Args: the name of its journal, its events, and the counter where the journal lies.
    """
    for event in events:
        if event.kind == "opened" and is_job_id(event.about):
            return event.about
    first = events[0].at if events else ""
    return str(uuid.uuid5(_NAMES, f"{counter}/{name}/{first}"))


def parted_from(job: str, counter: str) -> str:
    """The id under which a counter's own going on with a job is kept where another went on with it too."""
    return str(uuid.uuid5(_NAMES, f"{job}/{counter}/parted"))


def written_by(content: JournalContent, usual: Writer) -> Iterator[tuple[int, Event, Writer]]:
    """Each event of a journal with the number of its line and who wrote it; `usual` where nobody is named."""
    writer = usual
    for number, event in zip(content.numbers, content.events, strict=True):
        named = writer_of(event.by) if event.by and event.kind in NAMES_ITS_WRITER else None
        if named is not None and event.kind in _BEGINS_TO_WRITE:
            writer = named
        yield number, event, named or writer

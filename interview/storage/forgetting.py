"""What a journal says in free words erased from it, line by line, and the papers that were kept beside it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from engine.session.journal import RECORDED, Event, Journal, event_line, read_journal
from engine.session.record import TEXTS
from interview.storage.atomic_write import write_whole
from interview.storage.private import PAPERS, file_rights


def erase_words(folder: Path, job: str) -> None:
    """Take from a journal all that was said in free words; its lines keep their places, so that the rest stays filed.

    Raises: JournalError where the job is open elsewhere or cannot be read; OSError where it cannot be written.
    """
    journal = Journal(folder, job, rights=file_rights())
    try:
        content = read_journal(journal.path)
        kept = dict(zip(content.numbers, content.events, strict=True))
        lines = (_without_words(kept[number]) if number in kept else b"\n" for number in range(1, max(kept) + 1))
        erased = b"".join(lines)
        if erased != journal.path.read_bytes():
            write_whole(journal.path, erased, file_rights())
    finally:
        journal.close()


def _without_words(event: Event) -> bytes:
    """The line of an event without its words; an empty line where nothing else was in it."""
    if event.kind == "noted" or (event.kind == RECORDED and event.about in TEXTS):
        return b"\n"
    if event.kind == "opened" or (event.kind == RECORDED and event.about != "cause"):
        return event_line(event)
    return event_line(replace(event, text="", reason=""))


def papers_of(folder: Path, job: str) -> Iterator[Path]:
    """The papers that were kept of a job beside its journal, which tell of people too."""
    ours = re.compile(re.escape(job) + PAPERS)
    yield from (path for path in folder.iterdir() if ours.fullmatch(path.name) and path.is_file())

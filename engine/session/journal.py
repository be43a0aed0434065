"""What happened in an interview: frozen events, one JSON line each, on disk before the next question."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Final, Literal, get_args

from engine.foundation.problems import why_not
from engine.foundation.texts import say

EventKind = Literal[
    "opened",
    "answered",
    "corrected",
    "dont_know",
    "cant",
    "deferred",
    "lifted",
    "already_tried",
    "resumed",
    "found",
    "danger_reported",
    "danger_cleared",
    "made_safe",
    "switched_on",
    "left",
    "repaired",
    "verified",
    "noted",
    "taken_back",
    "handed_on",
    "closed",
]
KINDS: Final[tuple[str, ...]] = get_args(EventKind)
VERSION: Final = 1

_LOCKED_BYTE: Final = 1 << 30
"""Behind the end of any journal: on Windows nobody else can read what is locked, and a journal must stay readable."""


class JournalError(Exception):
    """A journal that cannot be read or written; the text says which file, what is wrong and what to do."""


@dataclass(frozen=True)
class Event:
    """One thing that happened.

    `about` is what it concerns: a check, a repair, a danger, or `role`, `unit`, `complaint`, `brought`. `value` is the
    answer (an id, a number in the check's unit), the outcome, the danger made safe, or who found it safe; `text` is
    what the person typed or noted, for something deferred when it will be done, for a danger found safe what was done;
    `by` the instrument or memory it came from; `reason` why something cannot be done. `at` is UTC in ISO 8601.
    """

    kind: EventKind
    at: str
    about: str = ""
    value: str | float | None = None
    text: str = ""
    by: str = ""
    reason: str = ""


def event_line(event: Event) -> bytes:
    """The event as one JSON line, newline included; empty fields are left out."""
    kept = {name: value for name, value in asdict(event).items() if value not in ("", None)}
    return (json.dumps({"v": VERSION, **kept}, ensure_ascii=False) + "\n").encode()


def event_from(data: Mapping[str, object]) -> Event:
    """An event from plain data. Raises JournalError where a field is missing, unknown, or of the wrong kind."""
    known = {field.name for field in fields(Event)}
    given = {name: value for name, value in data.items() if name != "v"}
    if data.get("v") != VERSION:
        raise JournalError(say("journal.version", found=repr(data.get("v")), version=VERSION))
    if given.get("kind") not in KINDS:
        raise JournalError(say("journal.kind", found=repr(given.get("kind")), known=", ".join(KINDS)))
    for name, value in given.items():
        right = isinstance(value, str) or (name == "value" and isinstance(value, int | float))
        if name not in known or isinstance(value, bool) or not right:
            raise JournalError(say("journal.field", name=repr(name), value=repr(value)))
    if "at" not in given:
        raise JournalError(say("journal.no_time"))
    return Event(**given)  # type: ignore[arg-type]


def read_events(path: Path) -> tuple[Event, ...]:
    """The events of a journal; a last line cut short by a power cut is left out.

    Raises: JournalError where the file cannot be read or holds something else.
    """
    try:
        whole = path.read_bytes()
    except OSError as error:
        raise JournalError(say("journal.unreadable", path=path, why=why_not(error))) from error
    lines = whole[: whole.rfind(b"\n") + 1].splitlines()
    return tuple(_parse(path, lines))


def _parse(path: Path, lines: Iterable[bytes]) -> Iterator[Event]:
    for number, line in enumerate(lines, start=1):
        try:
            data = json.loads(line)
            if not isinstance(data, dict):
                raise JournalError(say("journal.no_event"))
            yield event_from(data)
        except (ValueError, JournalError) as error:
            wrong = error if isinstance(error, JournalError) else say("journal.no_json")
            raise JournalError(say("journal.spoilt", place=f"{path}:{number}", wrong=wrong)) from error


def job_ids(folder: Path) -> list[str]:
    """The jobs kept in a folder, oldest first. Empty where the folder does not exist yet."""
    return sorted(path.stem for path in folder.glob("*.jsonl")) if folder.is_dir() else []


class Journal:
    """Appends events to one job's file: one whole line and an fsync each, under an exclusive lock."""

    def __init__(self, folder: Path, job: str) -> None:
        """Open or create the job's file. Raises JournalError where the folder cannot be made or written."""
        self.job = job
        self.path = folder / f"{job}.jsonl"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            flags = os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0)
            self._file = os.open(self.path, flags, 0o600)
            _lock(self._file)
            self._cut_unfinished_line()
            _sync_folder(folder)
        except BlockingIOError as error:
            raise JournalError(say("journal.open_elsewhere", path=self.path)) from error
        except OSError as error:
            raise JournalError(say("journal.not_here", folder=folder, why=why_not(error))) from error

    def write(self, event: Event) -> None:
        """Append one event; it is on disk when this returns. Raises JournalError where it could not be written."""
        try:
            os.write(self._file, event_line(event))
            os.fsync(self._file)
        except OSError as error:
            raise JournalError(say("journal.not_kept", path=self.path, why=why_not(error))) from error

    def close(self) -> None:
        """Close the file and give up the lock."""
        _unlock(self._file)
        os.close(self._file)

    def _cut_unfinished_line(self) -> None:
        size = os.lseek(self._file, 0, os.SEEK_END)
        os.lseek(self._file, 0, os.SEEK_SET)
        whole = os.read(self._file, size) if size else b""
        os.ftruncate(self._file, whole.rfind(b"\n") + 1)


def _lock(file: int) -> None:
    """Keep the file for this process. Raises BlockingIOError where another one has it."""
    if sys.platform == "win32":
        import msvcrt

        os.lseek(file, _LOCKED_BYTE, os.SEEK_SET)
        try:
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        except OSError as error:
            raise BlockingIOError(error.errno, error.strerror) from error
    else:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


def _unlock(file: int) -> None:
    """Give the file up, where closing it does not do so at once."""
    if sys.platform == "win32":
        import msvcrt

        os.lseek(file, _LOCKED_BYTE, os.SEEK_SET)
        msvcrt.locking(file, msvcrt.LK_UNLCK, 1)


def _sync_folder(folder: Path) -> None:
    """Make the new name itself last through a power cut, where the platform lets a folder be opened."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)

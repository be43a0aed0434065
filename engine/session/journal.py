"""What happened in an interview: frozen events, one JSON line each, on disk before the next question."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path
from typing import Final, Literal, get_args

from engine.foundation.bounded_read import read_at_most
from engine.foundation.plain_text import cleaned
from engine.foundation.problems import why_not
from engine.foundation.texts import say
from engine.session.file_lock import lock, unlock

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
    "part_found",
    "repaired",
    "verified",
    "noted",
    "recorded",
    "taken_back",
    "handed_on",
    "closed",
]
KINDS: Final[tuple[str, ...]] = get_args(EventKind)
VERSION: Final = 1
RECORDED: Final = "recorded"
"""The kind of what is recorded by hand for papers and bill, and what a `taken_back` says that undoes one."""
PLANT: Final = "plant"
"""What events of the supply are about where they serve no check and no repair."""

MOST_BYTES: Final = 20_000_000
"""No journal is longer: some hundred thousand answers."""


class JournalError(Exception):
    """A journal that cannot be read or written; the text says which file, what is wrong and what to do."""


@dataclass(frozen=True)
class Event:
    """One thing that happened.

    `about` is what it concerns: a check, a repair, a danger, or `role`, `unit`, `complaint`, `brought`. `value` is the
    answer (an id, a number in the check's unit), the outcome, the danger made safe, or who found it safe; `text` is
    what the person typed or noted, for something deferred when it will be done, for a danger found safe what was done;
    `by` the instrument or memory it came from; `reason` why something cannot be done. `at` is UTC in ISO 8601. `beside`
    is `line` where it was told in a line of its own and not asked for. Of `taken_back`, `value` is `noted` where it
    undoes the last note, `recorded` where the last record. Of `recorded`, `about` is one of the fields of `record.py`
    or `part:` with a part's id, and `text` the unit of its amount.
    """

    kind: EventKind
    at: str
    about: str = ""
    value: str | float | None = None
    text: str = ""
    by: str = ""
    reason: str = ""
    beside: str = ""


_TEXTS: Final = ("about", "value", "text", "by", "reason", "beside")


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


@dataclass(frozen=True)
class SpoiltLine:
    """A line of a journal that holds no event: its number from 1, and why not."""

    number: int
    why: str


@dataclass(frozen=True)
class JournalContent:
    """What a journal holds: its events, the number of each one's line, and the lines that hold none."""

    events: tuple[Event, ...] = ()
    numbers: tuple[int, ...] = ()
    spoilt: tuple[SpoiltLine, ...] = ()


def read_journal(path: Path) -> JournalContent:
    """What a journal holds; a spoilt line costs itself alone.

    Raises: JournalError where the file cannot be read, is too long, or holds lines and not one event.
    """
    try:
        whole = read_at_most(path, MOST_BYTES + 1)
    except OSError as error:
        raise JournalError(say("journal.unreadable", path=path, why=why_not(error))) from error
    if len(whole) > MOST_BYTES:
        raise JournalError(say("journal.too_long", path=path, bytes=f"{MOST_BYTES:,}"))
    events, spoilt = dict[int, Event](), list[SpoiltLine]()
    *lines, rest = whole.split(b"\n")
    for number, line in enumerate((*lines, rest), start=1):
        # A journal that went through an editor may have lost its last line's end, and have blank lines.
        if not line.strip():
            continue
        try:
            events[number] = _event_of(line)
        except JournalError as error:
            cut = number > len(lines)
            spoilt.append(SpoiltLine(number, say("journal.cut_short") if cut else str(error)))
    if not events and any(line.number <= len(lines) for line in spoilt):
        place = f"{path}:{spoilt[0].number}"
        raise JournalError(say("journal.no_journal", place=place, wrong=spoilt[0].why))
    return JournalContent(tuple(events.values()), tuple(events), tuple(spoilt))


def read_events(path: Path) -> tuple[Event, ...]:
    """The events of a journal alone. Raises JournalError as `read_journal` does."""
    return read_journal(path).events


def _event_of(line: bytes) -> Event:
    """The event of one line, its texts clean. Raises JournalError where the line holds none."""
    try:
        data = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise JournalError(say("journal.no_json")) from error
    if not isinstance(data, dict):
        raise JournalError(say("journal.no_event"))
    return event_of(data)


def event_of(data: Mapping[str, object]) -> Event:
    """An event from plain data that come from outside, its texts clean. Raises JournalError as `event_from` does."""
    event = event_from(data)
    # Whoever wrote the file, nothing in it may steer a terminal or a page.
    texts = {name: cleaned(text) for name in _TEXTS if isinstance(text := getattr(event, name), str)}
    return replace(event, **texts)  # type: ignore[arg-type]


def job_ids(folder: Path) -> list[str]:
    """The jobs kept in a folder, oldest first. Empty where the folder does not exist yet."""
    return sorted((path.stem for path in folder.glob("*.jsonl")), key=in_order) if folder.is_dir() else []


def in_order(job: str) -> list[tuple[int, str]]:
    """What a job's id is sorted by: `-9` comes before `-12`."""
    return [(int(part), "") if part.isdecimal() else (-1, part) for part in re.split("([0-9]+)", job)]


class Journal:
    """Appends events to one job's file: one whole line and an fsync each, under an exclusive lock."""

    def __init__(self, folder: Path, job: str, *, new: bool = False, rights: int = 0o600) -> None:
        """Open or create the job's file; `new`, only create it.

        Args: `rights` of the file; nobody who has none by them keeps any. A new folder may be entered by who may read.

        Raises:
            FileExistsError: a `new` job has a name that is taken.
            JournalError: the folder cannot be made or written, or the job is open elsewhere.
        """
        self.job = job
        self.path = folder / f"{job}.jsonl"
        self._torn = False
        opened: int | None = None
        try:
            _make_private(folder, rights)
            flags = os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0) | (os.O_EXCL if new else 0)
            self._file = opened = os.open(self.path, flags, rights)
            lock(self._file)
            self._refuse_removed()
            self._end = self._end_last_line()
            _tighten(self.path, rights)
            _sync_folder(folder)
        except OSError as error:
            if opened is not None:
                os.close(opened)
            if new and isinstance(error, FileExistsError) and folder.is_dir():
                raise
            if isinstance(error, BlockingIOError):
                raise JournalError(say("journal.open_elsewhere", path=self.path)) from error
            raise JournalError(say("journal.not_here", folder=folder, why=why_not(error))) from error

    def write(self, event: Event) -> None:
        """Append one event; it is on disk whole when this returns.

        Raises: JournalError where it could not be written; then nothing of it is left in the file.
        """
        line = event_line(event)
        try:
            self._cut_back()
            self._torn = True
            self._put(line)
            os.fsync(self._file)
        except OSError as error:
            with suppress(OSError):
                self._cut_back()
            raise JournalError(say("journal.not_kept", path=self.path, why=why_not(error))) from error
        self._torn, self._end = False, self._end + len(line)

    def close(self) -> None:
        """Close the file and give up the lock."""
        unlock(self._file)
        os.close(self._file)

    def remove(self) -> None:
        """Remove the file and give up the lock, in this order: nobody may open it in between and lose what he writes.

        Windows removes no file that is open, and so none that somebody has opened since.
        """
        if os.name != "nt":
            self.path.unlink()
            self.close()
            return
        self.close()
        with suppress(OSError):
            self.path.unlink()

    def _put(self, line: bytes) -> None:
        """Write all of a line: the system may take a part of it at a time."""
        while line:
            line = line[os.write(self._file, line) :]

    def _cut_back(self) -> None:
        """Take away what a writing left that broke off."""
        if self._torn:
            os.ftruncate(self._file, self._end)
            self._torn = False

    def _refuse_removed(self) -> None:
        """Raises BlockingIOError where the file was removed by whoever had it, while it was opened here."""
        with suppress(FileNotFoundError):
            if os.path.samestat(self.path.stat(), os.fstat(self._file)):
                return
        raise BlockingIOError

    def _end_last_line(self) -> int:
        """End a last line that holds an event, take away one that was never written in full; where the file ends."""
        size = os.lseek(self._file, 0, os.SEEK_END)
        back = min(size, MOST_BYTES)
        os.lseek(self._file, -back, os.SEEK_END)
        read = b""
        while len(read) < back and (more := os.read(self._file, back - len(read))):
            read += more
        rest = read[read.rfind(b"\n") + 1 :]
        if not rest:
            return size
        try:
            _event_of(rest)
        except JournalError:
            os.ftruncate(self._file, size - len(rest))
            return size - len(rest)
        self._put(b"\n")
        return size + 1


def _make_private(folder: Path, rights: int) -> None:
    """Make a folder that nobody enters who may not read the files in it, where there is none."""
    if not folder.is_dir():
        folder.parent.mkdir(parents=True, exist_ok=True)
        # Who may read (4 of 7) may enter too (1 of 7).
        folder.mkdir(mode=0o700 | (rights & 0o040) | (rights & 0o040) >> 2, exist_ok=True)


def _tighten(path: Path, rights: int) -> None:
    """Take from others what rights they have in a file; whose file it is not cannot, and may write all the same."""
    if os.name != "nt" and path.stat().st_mode & 0o077 & ~rights:
        with suppress(OSError):
            path.chmod(rights)


def _sync_folder(folder: Path) -> None:
    """Make the new name itself last through a power cut, where the platform lets a folder be opened."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)

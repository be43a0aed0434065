from __future__ import annotations

import errno
import json
import os
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.session import journal as journal_module
from engine.session.journal import (
    KINDS,
    Event,
    Journal,
    JournalContent,
    JournalError,
    event_from,
    event_line,
    job_ids,
    read_events,
    read_journal,
)

AT = "2026-01-02T03:04:05Z"
texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)
events = st.builds(
    Event,
    kind=st.sampled_from(KINDS),
    at=st.just(AT),
    about=texts,
    value=st.one_of(st.none(), texts.filter(bool), st.floats(allow_nan=False, allow_infinity=False)),
    text=texts,
    by=texts,
    reason=texts,
)


@given(events)
def test_an_event_survives_its_line(event: Event) -> None:
    line = event_line(event)
    assert line.count(b"\n") == 1
    assert event_from(json.loads(line)) == event


def test_events_are_on_disk_in_order(tmp_path: Path) -> None:
    journal = Journal(tmp_path / "jobs", "a1")
    told = [Event("opened", AT, value="a1"), Event("answered", AT, about="ph", value=7.4)]
    for event in told:
        journal.write(event)
    assert read_events(tmp_path / "jobs" / "a1.jsonl") == tuple(told)
    assert job_ids(tmp_path / "jobs") == ["a1"]
    journal.close()


def test_a_line_cut_short_by_a_power_cut_is_dropped(tmp_path: Path) -> None:
    path = tmp_path / "a1.jsonl"
    whole = event_line(Event("opened", AT, value="a1"))
    path.write_bytes(whole + event_line(Event("noted", AT, text="half"))[:20])
    assert [e.kind for e in read_events(path)] == ["opened"]
    journal = Journal(tmp_path, "a1")
    journal.write(Event("noted", AT, text="whole"))
    journal.close()
    assert [e.text for e in read_events(path)] == ["", "whole"]


def test_two_windows_cannot_write_one_job(tmp_path: Path) -> None:
    first = Journal(tmp_path, "a1")
    with pytest.raises(JournalError, match="open in another window"):
        Journal(tmp_path, "a1")
    first.close()
    Journal(tmp_path, "a1").close()


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (b"not json\n", "not a line of JSON"),
        (b"[1]\n", "not an event"),
        (b'{"v": 2, "kind": "noted", "at": "x"}\n', "version 2"),
        (b'{"v": 1, "kind": "danced", "at": "x"}\n', "'danced'"),
        (b'{"v": 1, "kind": "noted", "at": "x", "mood": "good"}\n', "'mood'"),
        (b'{"v": 1, "kind": "noted"}\n', "time"),
        (b"\xff\xfe\n", "not a line of JSON"),
    ],
)
def test_a_spoilt_line_costs_that_line_alone_and_says_where_and_what(tmp_path: Path, line: bytes, says: str) -> None:
    path = tmp_path / "a1.jsonl"
    path.write_bytes(event_line(Event("opened", AT)) + line + event_line(Event("noted", AT, text="after")))
    content = read_journal(path)
    assert [event.text for event in content.events] == ["", "after"]
    assert content.numbers == (1, 3)
    (spoilt,) = content.spoilt
    assert spoilt.number == 2
    assert says in spoilt.why
    path.write_bytes(line)
    with pytest.raises(JournalError, match=r"a1\.jsonl:1: ") as caught:
        read_journal(path)
    assert says in str(caught.value)


WRITTEN = (Event("opened", AT, value="a1"), Event("answered", AT, about="ph", value=7.4), Event("noted", AT, text="ñ"))


def test_a_journal_cut_at_any_byte_keeps_every_whole_line_and_goes_on(tmp_path: Path) -> None:
    whole = b"".join(map(event_line, WRITTEN))
    path = tmp_path / "a1.jsonl"
    for cut in range(len(whole) + 1):
        path.write_bytes(whole[:cut])
        left = [event for k, event in enumerate(WRITTEN) if cut >= len(b"".join(map(event_line, WRITTEN[: k + 1]))) - 1]
        assert list(read_events(path)) == left
        journal = Journal(tmp_path, "a1")
        journal.write(Event("noted", AT, text="on"))
        journal.close()
        assert [*read_events(path)] == [*left, Event("noted", AT, text="on")]
        assert read_journal(path).spoilt == ()


class Disk:
    """A disk that takes so many bytes at a time, and is full after so many."""

    def __init__(self, at_once: int, room: int) -> None:
        self.at_once, self.room = at_once, room

    def write(self, file: int, content: bytes) -> int:
        taken = content[: min(self.at_once, self.room)]
        if not taken:
            raise OSError(errno.ENOSPC, "full")
        self.room -= len(taken)
        return WRITES(file, taken)


WRITES = os.write


@pytest.mark.parametrize("at_once", [1, 7, 50])
def test_a_disk_that_takes_a_part_at_a_time_gets_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at_once: int
) -> None:
    monkeypatch.setattr(os, "write", Disk(at_once, 10_000).write)
    journal = Journal(tmp_path, "a1")
    for event in WRITTEN:
        journal.write(event)
    journal.close()
    assert read_events(journal.path) == WRITTEN


def test_what_a_full_disk_took_half_of_is_cut_back_and_all_before_it_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = [len(event_line(event)) for event in WRITTEN]
    for room in range(sum(lines)):
        monkeypatch.setattr(os, "write", Disk(7, room).write)
        journal = Journal(tmp_path, f"a{room}")
        kept = []
        for event in WRITTEN:
            try:
                journal.write(event)
                kept.append(event)
            except JournalError:
                continue
        assert read_journal(journal.path) == JournalContent(tuple(kept), tuple(range(1, len(kept) + 1)))
        # Once there is room again the same journal goes on.
        monkeypatch.setattr(os, "write", WRITES)
        journal.write(WRITTEN[0])
        journal.close()
        assert read_events(journal.path) == (*kept, WRITTEN[0])


def test_what_is_not_safely_on_the_disk_is_not_said_to_be(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    journal = Journal(tmp_path, "a1")
    journal.write(WRITTEN[0])
    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", lambda _: Disk(0, 0).write(0, b"x"))
        with pytest.raises(JournalError):
            journal.write(WRITTEN[1])
    journal.close()
    assert read_events(journal.path) == WRITTEN[:1]


def test_a_new_job_never_takes_the_file_of_another(tmp_path: Path) -> None:
    Journal(tmp_path, "a1", new=True).close()
    with pytest.raises(FileExistsError):
        Journal(tmp_path, "a1", new=True)


def test_a_job_is_removed_while_it_is_still_locked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Unlocked first, another window could open it in between, and lose what it writes with the file."""
    if os.name == "nt":
        return
    journal, unlink, tried = Journal(tmp_path, "a1"), Path.unlink, []

    def opened_meanwhile(path: Path, missing_ok: bool = False) -> None:
        with pytest.raises(JournalError, match="open in another window"):
            Journal(tmp_path, "a1")
        tried.append(path)
        unlink(path, missing_ok)

    with monkeypatch.context() as patch:
        patch.setattr(Path, "unlink", opened_meanwhile)
        journal.remove()
    assert tried == [journal.path]
    assert job_ids(tmp_path) == []


def test_what_is_no_file_and_what_is_too_long_is_told_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "folder.jsonl").mkdir()
    (tmp_path / "nowhere.jsonl").symlink_to(tmp_path / "gone")
    (tmp_path / "round.jsonl").symlink_to(tmp_path / "round.jsonl")
    (tmp_path / "endless.jsonl").symlink_to("/dev/zero")
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.jsonl")
    for path in tmp_path.glob("*.jsonl"):
        with pytest.raises(JournalError, match="cannot be read"):
            read_journal(path)
    monkeypatch.setattr(journal_module, "MOST_BYTES", 100)
    long = tmp_path / "long.jsonl"
    long.write_bytes(event_line(Event("noted", AT, text="x" * 200)))
    with pytest.raises(JournalError, match="longer than 100 bytes"):
        read_journal(long)


def test_nothing_that_a_journal_holds_can_steer_a_terminal(tmp_path: Path) -> None:
    path = tmp_path / "a1.jsonl"
    bad = "\x1b]52;c;eA==\x07\u202e" + chr(0xD800)
    path.write_text(json.dumps({"v": 1, "kind": "answered", "at": AT, "about": bad, "value": bad, "text": bad}) + "\n")
    (event,) = read_events(path)
    assert (event.about, event.value, event.text) == ("]52;c;eA==",) * 3


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("here")
    with pytest.raises(JournalError, match="--jobs"):
        Journal(blocked, "a1")


@pytest.mark.parametrize("missing", ["nowhere.jsonl"])
def test_a_missing_journal_is_named(tmp_path: Path, missing: str) -> None:
    with pytest.raises(JournalError, match="cannot be read"):
        read_events(tmp_path / missing)


def test_a_journal_is_for_its_owner_only_from_its_first_moment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(journal_module, "_tighten", lambda *_: None)
    Journal(tmp_path, "a1").close()
    if os.name != "nt":
        assert stat.S_IMODE((tmp_path / "a1.jsonl").stat().st_mode) == 0o600


def test_a_job_and_its_folder_that_are_made_here_are_their_owners_alone(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "jobs"
    Journal(folder, "a1").close()
    if os.name != "nt":
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
        (folder / "a1.jsonl").chmod(0o644)
        Journal(folder, "a1").close()
        assert stat.S_IMODE((folder / "a1.jsonl").stat().st_mode) == 0o600


def test_ids_are_in_the_order_of_their_numbers(tmp_path: Path) -> None:
    names = ["2026-01-01-0900", "2026-01-01-0900-9", "2026-01-01-0900-12", "2026-01-01-0901", "other"]
    for name in reversed(names):
        (tmp_path / f"{name}.jsonl").touch()
    assert [name for name in job_ids(tmp_path) if name != "other"] == names[:-1]

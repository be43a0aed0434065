from __future__ import annotations

import json
import os
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.session.journal import KINDS, Event, Journal, JournalError, event_from, event_line, job_ids, read_events

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
def test_a_spoilt_journal_says_where_and_what(tmp_path: Path, line: bytes, says: str) -> None:
    path = tmp_path / "a1.jsonl"
    path.write_bytes(event_line(Event("opened", AT)) + line)
    with pytest.raises(JournalError, match=r"a1\.jsonl:2: ") as caught:
        read_events(path)
    assert says in str(caught.value)


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("here")
    with pytest.raises(JournalError, match="--jobs"):
        Journal(blocked, "a1")


@pytest.mark.parametrize("missing", ["nowhere.jsonl"])
def test_a_missing_journal_is_named(tmp_path: Path, missing: str) -> None:
    with pytest.raises(JournalError, match="cannot be read"):
        read_events(tmp_path / missing)


def test_a_journal_is_for_its_owner_only(tmp_path: Path) -> None:
    Journal(tmp_path, "a1").close()
    if os.name != "nt":
        assert stat.S_IMODE((tmp_path / "a1.jsonl").stat().st_mode) == 0o600

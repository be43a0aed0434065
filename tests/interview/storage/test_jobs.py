"""Kept jobs."""

from __future__ import annotations

from datetime import timedelta, timezone
from pathlib import Path

import pytest

from engine.foundation.text_catalog import use_language
from engine.session.journal import Event, Journal, JournalError
from interview.storage.jobs import JobError, default_folder, drop_if_empty, find, new_job, open_jobs, stamp, taken_up
from tests.interview.people import clock
from tests.shipped import knowledge, models

AT = "2026-05-04T09:30:00Z"
SAID = Event("answered", AT, about="role", value="field")


def kept(folder: Path, job: str, *events: Event) -> None:
    journal = Journal(folder, job)
    for event in events or (Event("opened", AT, value=job), SAID):
        journal.write(event)
    journal.close()


def test_a_job_is_named_by_its_minute_and_never_twice(tmp_path: Path) -> None:
    names = []
    for _ in range(3):
        journal = new_job(tmp_path, clock())
        names.append(journal.job)
        journal.close()
    assert names == ["2026-05-04-0930", "2026-05-04-0930-2", "2026-05-04-0930-3"]
    later = new_job(tmp_path, clock() + timedelta(minutes=1))
    later.close()
    assert later.job == "2026-05-04-0931"


def test_two_windows_in_the_same_instant_get_two_jobs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = new_job(tmp_path, clock())
    monkeypatch.setattr("interview.storage.jobs.job_ids", lambda _: [])
    second = new_job(tmp_path, clock())
    assert {first.job, second.job} == {"2026-05-04-0930", "2026-05-04-0930-2"}
    first.close()
    second.close()


def test_a_job_in_which_nothing_was_said_leaves_nothing_behind(tmp_path: Path) -> None:
    for begun in (False, True):
        journal = new_job(tmp_path, clock())
        if begun:
            journal.write(Event("opened", AT, value=journal.job))
        assert drop_if_empty(journal)
        assert list(tmp_path.iterdir()) == []
    journal = new_job(tmp_path, clock())
    journal.write(Event("noted", AT, text="x"))
    assert not drop_if_empty(journal)
    assert len(list(tmp_path.iterdir())) == 1


def test_a_folder_that_is_a_file_is_one_clear_error(tmp_path: Path) -> None:
    place = tmp_path / "jobs"
    place.write_text("x")
    with pytest.raises(JournalError, match="--jobs FOLDER"):
        new_job(place, clock())


def test_open_jobs_come_newest_first_without_the_closed_and_the_broken(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    kept(tmp_path, "2026-01-01-0900")
    kept(tmp_path, "2026-01-02-0900", Event("opened", AT), Event("closed", AT, value="wait"))
    kept(tmp_path, "2026-01-03-0900", Event("opened", AT), SAID, Event("closed", AT), Event("taken_back", AT))
    (tmp_path / "2026-01-04-0900.jsonl").write_bytes(b"\xff\x00\n")
    (tmp_path / "2026-01-05-0900.jsonl").write_bytes(b"")
    kept(tmp_path, "2026-01-06-0900", Event("opened", AT))
    assert [job.id for job in open_jobs(tmp_path)] == ["2026-01-03-0900", "2026-01-01-0900"]
    assert "2026-01-04-0900.jsonl:1" in capsys.readouterr().err


def test_a_job_is_found_by_its_id_or_a_unique_part_of_it(tmp_path: Path) -> None:
    for job in ("2026-01-01-0900", "2026-01-02-1000", "2026-01-02-1000-2"):
        kept(tmp_path, job)
    assert find(tmp_path, "2026-01-02-1000").id == "2026-01-02-1000"
    assert find(tmp_path, "0900").id == "2026-01-01-0900"
    with pytest.raises(JobError, match="several jobs"):
        find(tmp_path, "2026-01-02")
    with pytest.raises(JobError, match="no job"):
        find(tmp_path, "../secrets")
    with pytest.raises(JobError, match="start one"):
        find(tmp_path / "nowhere", "x")


def test_a_job_that_names_what_the_trees_do_not_know_says_where(tmp_path: Path) -> None:
    events = (Event("opened", AT), Event("answered", AT, about="role", value="captain"))
    with pytest.raises(JobError, match=r"jsonl:2.*captain.*--faults"):
        taken_up(models(), events, tmp_path / "x.jsonl")


@pytest.mark.parametrize(
    ("event", "says"),
    [
        (
            Event("answered", "2026-01-01T00:00:00Z", about="role", value="captain"),
            "'captain' no es ninguno de estos: counter,",
        ),
        (Event("answered", "2026-01-01T00:00:00Z", about="moon", value="full"), "'moon' no es una prueba;"),
        (Event("repaired", "2026-01-01T00:00:00Z", about="moon", value="done"), "'moon' no es una reparación;"),
        (Event("deferred", "2026-01-01T00:00:00Z", about="moon"), "'moon' no es una prueba ni una reparación"),
        (
            Event("answered", "2026-01-01T00:00:00Z", about="tested_salt", value=-5.0),
            "-5.0 no es un número en ppm de 0",
        ),
        (Event("answered", "2026-01-01T00:00:00Z", about="return_flow", value="x"), "'x' no es una respuesta a"),
    ],
)
def test_what_cannot_be_taken_up_is_told_in_the_language_in_use(tmp_path: Path, event: Event, says: str) -> None:
    opened = Event("opened", "2026-01-01T00:00:00Z", value="x", text=knowledge().fingerprint)
    use_language("es")
    try:
        with pytest.raises(JobError) as caught:
            taken_up(models(), (opened, event), tmp_path / "x.jsonl")
    finally:
        use_language("en")
    assert str(caught.value).startswith(f"{tmp_path}/x.jsonl:2: {says}")


def test_a_job_is_taken_up_where_it_stands(tmp_path: Path) -> None:
    events = (Event("opened", AT, text=knowledge().fingerprint), Event("answered", AT, about="role", value="phone"))
    session = taken_up(models(), events, tmp_path / "x.jsonl")
    assert session.next().about == "danger_now"


def test_events_carry_utc_to_the_second() -> None:
    assert stamp(clock) == "2026-05-04T09:30:00Z"
    east = timezone(timedelta(hours=10))
    assert stamp(lambda: clock().astimezone(east)) == "2026-05-04T09:30:00Z"


def test_where_jobs_are_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("BRINECALL_JOBS", raising=False)
    assert default_folder() == tmp_path / ".local" / "share" / "brinecall" / "jobs"
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    assert default_folder() == tmp_path / "data" / "brinecall" / "jobs"
    monkeypatch.setenv("BRINECALL_JOBS", str(tmp_path / "mine"))
    assert default_folder() == tmp_path / "mine"

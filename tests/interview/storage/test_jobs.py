"""Kept jobs."""

from __future__ import annotations

import os
import stat
from datetime import date, timedelta, timezone
from pathlib import Path

import pytest

from engine.foundation.text_catalog import use_language
from engine.session import file_lock
from engine.session.journal import Event, Journal, JournalError
from interview.command_line.job_sheet import JobSheet
from interview.command_line.output import RenderOptions, write_paper
from interview.dialogue.history import listed
from interview.dialogue.questions import question_for
from interview.storage import jobs
from interview.storage.jobs import (
    JobError,
    KeptJob,
    default_folder,
    drop_if_empty,
    find,
    new_job,
    open_again,
    open_jobs,
    set_aside,
    stamp,
    taken_up,
)
from interview.storage.settings import settle
from reports.document import Audience
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
    assert len(list(tmp_path.glob("*.jsonl"))) == 1


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


UNKNOWN = [
    (Event("answered", AT, about="role", value="captain"), "role: captain"),
    (Event("answered", AT, about="unit", value="moon"), "unit: moon"),
    (Event("answered", AT, about="complaint", value="moon"), "complaint: moon"),
    (Event("answered", AT, about="brought", value="moon"), "brought: moon"),
    (Event("answered", AT, about="moon", value="full", text="all of it"), "moon: all of it"),
    (Event("corrected", AT, about="moon", value=3.0), "moon: 3.0"),
    (Event("answered", AT, about="danger_now", value="moon"), "danger now: moon"),
    (Event("answered", AT, about="tested_salt", value=-5.0, text="-5 ppm"), "tested salt: -5 ppm"),
    (Event("answered", AT, about="tested_salt", value="much"), "tested salt: much"),
    (Event("answered", AT, about="return_flow", value="x"), "return flow: x"),
    (Event("answered", AT, about="return_flow"), "return flow: answered"),
    (Event("dont_know", AT, about="moon"), "moon: dont_know"),
    (Event("cant", AT, about="moon", reason="too far"), "moon: too far"),
    (Event("lifted", AT, about="moon"), "moon: lifted"),
    (Event("deferred", AT, about="moon", text="tomorrow"), "moon: tomorrow"),
    (Event("already_tried", AT, about="moon", text="new moon"), "moon: new moon"),
    (Event("repaired", AT, about="moon", value="done"), "moon: done"),
    (Event("verified", AT, about="moon", value="helped"), "moon: helped"),
    (Event("closed", AT, value="moon"), "closed: moon"),
]
STARTED = (
    Event("opened", AT, value="x"),
    Event("answered", AT, about="role", value="field"),
    Event("answered", AT, about="danger_now", value="none"),
    Event("answered", AT, about="unit", value="default"),
    Event("answered", AT, about="complaint", value="no-output"),
)


@pytest.mark.parametrize(("event", "says"), UNKNOWN)
@pytest.mark.parametrize("place", [1, len(STARTED)])
def test_what_the_trees_do_not_know_costs_itself_alone_is_told_and_stands_on_the_papers_with_notes(
    event: Event, says: str, place: int
) -> None:
    events = (*STARTED[:place], event, *STARTED[place:])
    session = taken_up(models(), KeptJob("x", events, is_open=True))
    plain = taken_up(models(), KeptJob("x", STARTED, is_open=True))
    assert session.job.set_aside == [event]
    assert (event.about or event.kind) in set_aside(session)
    assert [session.job.role, session.job.complaint] == [plain.job.role, plain.job.complaint]
    assert session.job.closed == (event.kind == "closed")
    audiences: tuple[Audience, ...] = ("technician", "shop")
    for audience in audiences:
        text = JobSheet(session, date(2026, 5, 4), wish=RenderOptions(audience=audience, annex=True)).text()
        assert says in " ".join(text.split()), audience
    assert listed(session)
    assert question_for(session, session.act_for("tested_salt"))


def test_going_back_over_what_is_set_aside_takes_back_just_that() -> None:
    events = (*STARTED, Event("answered", AT, about="moon", value="full"), Event("taken_back", AT))
    session = taken_up(models(), KeptJob("x", events, is_open=True))
    assert session.job.set_aside == []
    assert session.job.complaint == "no-output"


def test_what_is_set_aside_is_told_in_the_language_in_use_and_not_without_end() -> None:
    moons = tuple(Event("answered", AT, about=f"moon{number}", value="full") for number in range(50))
    session = taken_up(models(), KeptJob("x", (*STARTED, *moons), is_open=True))
    use_language("es")
    try:
        assert "50 respuestas" in set_aside(session)
        assert len(set_aside(session)) < 400
    finally:
        use_language("en")


def test_jobs_of_one_minute_are_in_the_order_in_which_they_were_begun(tmp_path: Path) -> None:
    names = []
    for _ in range(12):
        journal = new_job(tmp_path, clock())
        names.append(journal.job)
        journal.write(SAID)
        journal.close()
    assert [job.id for job in open_jobs(tmp_path)] == names[::-1]


@pytest.mark.parametrize("back", [timedelta(minutes=1), timedelta(hours=1), timedelta(days=400)])
def test_a_clock_that_was_set_back_leaves_the_newest_job_the_newest(tmp_path: Path, back: timedelta) -> None:
    for now in (clock(), clock() - back, clock() - back):
        journal = new_job(tmp_path, now)
        journal.write(SAID)
        journal.close()
        assert open_jobs(tmp_path)[0].id == journal.job


def test_whoever_opens_a_job_that_is_being_removed_loses_nothing(tmp_path: Path) -> None:
    """The order matters: opened here, removed there, and only then free to be locked."""
    if os.name == "nt":
        return
    first = new_job(tmp_path, clock())
    locked = file_lock.lock

    def late(file: int) -> None:
        assert drop_if_empty(first)
        locked(file)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("engine.session.journal.lock", late)
        with pytest.raises(JournalError, match="another window"):
            Journal(tmp_path, first.job)
    again = new_job(tmp_path, clock())
    again.write(SAID)
    again.close()
    assert find(tmp_path, again.job).events == (SAID,)


def test_a_job_in_which_only_a_note_was_made_is_found_again(tmp_path: Path) -> None:
    kept(tmp_path, "2026-01-01-0900", Event("opened", AT), Event("noted", AT, text="gate code 12"))
    assert [job.id for job in open_jobs(tmp_path)] == ["2026-01-01-0900"]


def test_a_spoilt_line_is_told_by_its_number_and_many_by_how_many(tmp_path: Path) -> None:
    kept(tmp_path, "2026-01-01-0900")
    path = tmp_path / "2026-01-01-0900.jsonl"
    path.write_bytes(b"x\n" + path.read_bytes())
    assert "line 1 (not a line of JSON)" in find(tmp_path, "0900").spoilt_lines()
    path.write_bytes(b"\x1b]52;c;eA==\x07\n" * 300 + path.read_bytes())
    told = find(tmp_path, "0900").spoilt_lines()
    assert "301 lines" in told
    assert len(told) < 400


def test_jobs_and_papers_that_lie_open_are_closed_to_others_and_nothing_else_is(tmp_path: Path) -> None:
    if os.name == "nt":
        return
    kept(tmp_path, "2026-01-01-0900")
    ours = [tmp_path / f"2026-01-01-0900.{ending}" for ending in ("jsonl", "txt", "pdf")]
    for path in (*ours, tmp_path / "notes.txt"):
        path.touch()
        path.chmod(0o644)
    tmp_path.chmod(0o755)
    journal, _ = open_again(tmp_path, "2026-01-01-0900")
    journal.close()
    assert [stat.S_IMODE(path.stat().st_mode) for path in ours] == [0o600] * 3
    assert stat.S_IMODE((tmp_path / "notes.txt").stat().st_mode) == 0o644
    assert stat.S_IMODE(tmp_path.stat().st_mode) == 0o755


@pytest.mark.parametrize(("readers", "files", "own"), [("account", 0o600, 0o700), ("group", 0o640, 0o750)])
@pytest.mark.parametrize("before", [0o600, 0o644, 0o660, 0o666])
def test_a_setting_says_who_reads_jobs_and_papers_alike(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, readers: str, files: int, own: int, before: int
) -> None:
    """Digits as of chmod(1): owner, group, others; 4 is to read, 2 to write, 1 to enter."""
    if os.name == "nt":
        return
    monkeypatch.delenv("BRINECALL_JOBS", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("BRINECALL_CONFIG", str(tmp_path / "choices"))
    settle(readable_by=readers)
    new_job(default_folder(), clock()).close()
    (first,) = default_folder().glob("*.jsonl")
    papers = [first.with_name(f"{first.stem}{ending}") for ending in (".txt", ".label.pdf", ".csv", ".eml", ".ics")]
    write_paper(b"paper", papers[0], private=True)
    assert {stat.S_IMODE(path.stat().st_mode) for path in (first, papers[0])} == {files}
    for path in (first, *papers):
        path.touch()
        path.chmod(before)
    default_folder().chmod(0o777)
    new_job(default_folder(), clock()).close()
    journals = list(default_folder().glob("*.jsonl"))
    assert len(journals) == 2
    assert {stat.S_IMODE(path.stat().st_mode) for path in (*journals, *papers)} == {files}
    assert stat.S_IMODE(default_folder().stat().st_mode) == own


def test_the_programs_own_folder_is_closed_to_others(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    if os.name == "nt":
        return
    monkeypatch.delenv("BRINECALL_JOBS", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    new_job(default_folder(), clock()).close()
    assert stat.S_IMODE(default_folder().stat().st_mode) == 0o700
    default_folder().chmod(0o755)
    new_job(default_folder(), clock()).close()
    assert stat.S_IMODE(default_folder().stat().st_mode) == 0o700


def test_jobs_of_an_earlier_version_are_found_where_the_platform_has_another_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("BRINECALL_JOBS", raising=False)
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    # Apple's File System Programming Guide names Library/Application Support for a user's data (from memory).
    apple = tmp_path / "Library" / "Application Support" / "brinecall"
    monkeypatch.setattr(jobs, "user_data_path", lambda *_, **__: apple)
    assert default_folder() == apple / "jobs"
    former = tmp_path / ".local" / "share" / "brinecall" / "jobs"
    kept(former, "2026-01-01-0900")
    assert find(default_folder(), "0900").id == "2026-01-01-0900"
    (apple / "jobs").mkdir(parents=True)
    assert default_folder() == apple / "jobs"


def test_without_a_home_jobs_have_no_place_and_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("BRINECALL_JOBS", raising=False)
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    monkeypatch.setattr(jobs, "user_data_path", lambda *_, **__: Path("~/.local/share/brinecall"))
    with pytest.raises(JobError, match="--jobs FOLDER"):
        default_folder()


def test_a_job_is_taken_up_where_it_stands() -> None:
    events = (Event("opened", AT, text=knowledge().fingerprint), Event("answered", AT, about="role", value="phone"))
    session = taken_up(models(), KeptJob("x", events, is_open=True))
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

"""The command `sheet` and the same options on `ask`: which job, for whom, in which form, where to."""

from __future__ import annotations

import json
import os
import subprocess
import time
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

import pytest

from engine.session.journal import Event, event_line
from interview.commands.app import command_line
from tests.interview.people import LIMIT_S, PROGRAM, environment, lines, run, started

VISIBLE = str(Path(str(files("faults"))) / "calls" / "visible.yaml")


def refused(done: subprocess.CompletedProcess[str], *said: str) -> None:
    """One clear line, exit code 2, no traceback, nothing printed."""
    assert done.returncode == 2, done.stdout + done.stderr
    assert len(done.stderr.splitlines()) == 1, done.stderr
    assert done.stdout == ""
    for words in said:
        assert words in done.stderr


def begun(jobs: Path, *said: str) -> str:
    """Begin a job and leave it; its id."""
    before = {path.stem for path in jobs.glob("*.jsonl")}
    run(jobs, typed=lines(*said, "leave"))
    (new,) = {path.stem for path in jobs.glob("*.jsonl")} - before
    return new


@pytest.fixture
def kept(tmp_path: Path) -> tuple[Path, str, str]:
    """A folder with two jobs: the older in the field, the newer at the counter."""
    older = begun(tmp_path, "field", "none", "default", "low-salt")
    newer = begun(tmp_path, "counter", "none", "default", "no-output", "nothing")
    return tmp_path, older, newer


def test_the_newest_job_is_printed_and_any_other_by_its_id(kept: tuple[Path, str, str]) -> None:
    folder, older, newer = kept
    for arguments in ([], ["last"], [newer]):
        done = run(folder, "sheet", *arguments)
        assert done.returncode == 0, done.stderr
        assert f"job {newer}" in done.stdout
        assert "Shop's sheet" in done.stdout
    done = run(folder, "sheet", older)
    assert f"job {older}" in done.stdout
    assert "Technician ______" in done.stdout


def test_a_beginning_that_fits_one_job_is_enough_and_one_that_fits_two_is_not(tmp_path: Path) -> None:
    job = begun(tmp_path, "field", "none", "default", "low-salt")
    assert f"job {job}" in run(tmp_path, "sheet", job[:7]).stdout
    (tmp_path / f"{job}-2.jsonl").write_bytes((tmp_path / f"{job}.jsonl").read_bytes())
    refused(run(tmp_path, "sheet", job[:7]), "several", f"{job}-2")
    assert run(tmp_path, "sheet", job).returncode == 0


@pytest.mark.e2e
def test_closed_jobs_are_printed_too_with_the_day_they_were_closed(tmp_path: Path) -> None:
    run(tmp_path, typed=lines("field", "none", "default", "low-salt", "finish", "close"))
    (path,) = tmp_path.glob("*.jsonl")
    events = [json.loads(line) for line in path.read_text().splitlines()]
    assert events[-1]["kind"] in ("closed", "handed_on")
    for event in events:
        event["at"] = "2026-03-02T11:00:00Z"
    path.write_text("".join(json.dumps(event) + "\n" for event in events))
    done = started(tmp_path, "sheet", TZ="UTC")
    assert done.returncode == 0, done.stderr
    assert "2026-03-02" in done.stdout.splitlines()[0]


def test_an_unknown_job_is_refused_with_the_newest_ones_named(kept: tuple[Path, str, str]) -> None:
    folder, older, newer = kept
    refused(run(folder, "sheet", "yesterday"), "yesterday", older, newer)
    refused(run(folder / "empty", "sheet"), "no job", "brinecall")
    refused(run(folder / "empty", "sheet", "x"), "no job")


def test_a_file_that_is_no_job_is_named_and_passed_by(kept: tuple[Path, str, str]) -> None:
    folder, _, newer = kept
    (folder / "zzz.jsonl").write_text("not a job\n")
    done = run(folder, "sheet")
    assert f"job {newer}" in done.stdout
    assert "zzz.jsonl" in done.stderr
    refused(run(folder, "sheet", "zzz"), "zzz.jsonl")


@pytest.mark.parametrize("audience", ["customer", "technician", "shop"])
@pytest.mark.parametrize("form", ["text", "html", "json", "markdown"])
def test_each_reader_has_each_form(kept: tuple[Path, str, str], audience: str, form: str) -> None:
    folder, _, newer = kept
    done = run(folder, "sheet", "--for", audience, "--as", form)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    assert newer in done.stdout
    if form == "json":
        assert json.loads(done.stdout)["format"] == "brinecall-sheet"


def test_a_receipt_is_42_columns_wide(kept: tuple[Path, str, str]) -> None:
    folder, *_ = kept
    done = run(folder, "sheet", "--columns", "42")
    assert max(map(len, done.stdout.splitlines())) == 42
    refused(run(folder, "sheet", "--columns", "5"), "--columns")


def test_a_file_is_written_and_named_and_a_folder_is_refused(kept: tuple[Path, str, str]) -> None:
    folder, *_ = kept
    target = folder / "out" / "my sheet.html"
    refused(run(folder, "sheet", "-o", str(target)), str(target.parent))
    target.parent.mkdir()
    done = run(folder, "sheet", "-o", str(target))
    assert done.returncode == 0, done.stderr
    assert str(target) in done.stdout
    assert target.read_bytes().lower().startswith(b"<!doctype html>")
    refused(run(folder, "sheet", "-o", str(target.parent)), "is a folder")
    assert list(target.parent.iterdir()) == [target]


@pytest.mark.e2e
def test_a_pdf_goes_to_a_file_or_to_another_program_but_not_to_a_terminal(kept: tuple[Path, str, str]) -> None:
    folder, *_ = kept
    sent = subprocess.run(
        [*PROGRAM, "sheet", "--as", "pdf"], env=environment(folder), capture_output=True, timeout=LIMIT_S, check=False
    )
    assert sent.stdout.startswith(b"%PDF-"), sent.stderr
    target = folder / "job.pdf"
    assert run(folder, "sheet", "-o", str(target)).returncode == 0
    assert target.read_bytes().startswith(b"%PDF-")
    ours, theirs = os.openpty()
    shown = subprocess.run(
        [*PROGRAM, "sheet", "--as", "pdf"],
        env=environment(folder),
        stdin=subprocess.DEVNULL,
        stdout=theirs,
        stderr=subprocess.PIPE,
        timeout=LIMIT_S,
        check=False,
    )
    os.close(theirs)
    os.close(ours)
    assert shown.returncode == 2
    assert b"-o job.pdf" in shown.stderr
    assert len(shown.stderr.splitlines()) == 1


def test_units_are_remembered_for_the_next_time(kept: tuple[Path, str, str], tmp_path: Path) -> None:
    folder, *_ = kept
    settings = str(tmp_path / "settings")

    def page(*arguments: str) -> str:
        return run(folder, "sheet", "--as", "html", *arguments, BRINECALL_CONFIG=settings).stdout

    metric, us = page(), page("--units", "us")
    assert us != metric
    assert page() == us
    assert page("--units", "metric") == metric
    assert page() == metric


def test_facts_are_printed_for_whom_and_as_it_is_wished(tmp_path: Path) -> None:
    call = ["ask", "--facts", VISIBLE, "--call", "2"]
    data = json.loads(run(tmp_path, *call, "--as", "json").stdout)
    assert data["decision"]
    done = run(tmp_path, *call, "--for", "shop", "-o", str(tmp_path / "shop.md"))
    assert done.returncode == 0, done.stderr
    assert "Shop's sheet" in (tmp_path / "shop.md").read_text()
    refused(run(tmp_path, *call, "-o", str(tmp_path)), "is a folder")


def test_an_interview_keeps_its_sheet_as_it_is_wished(tmp_path: Path) -> None:
    folder, target = tmp_path / "jobs", tmp_path / "end.html"
    said = lines("field", "none", "default", "low-salt", "finish", "close")
    done = run(folder, "ask", "-o", str(target), typed=said)
    assert done.returncode == 0, done.stderr
    assert target.read_bytes().lower().startswith(b"<!doctype html>")
    assert str(target) in done.stdout.replace("\n", "")
    assert not list(folder.glob("*.txt"))
    run(folder, "ask", "--as", "markdown", "--for", "customer", typed=said)
    (kept,) = folder.glob("*.md")
    assert "Technician" not in kept.read_text()


def test_what_cannot_be_written_is_refused_before_anything_is_asked(tmp_path: Path) -> None:
    refused(run(tmp_path, "ask", "-o", str(tmp_path), typed="field\n"), "is a folder")
    refused(run(tmp_path, "ask", "--pipe", "--as", "html"), "--pipe")
    assert not list(tmp_path.glob("*.jsonl"))


def test_the_help_tells_of_every_option_with_examples(tmp_path: Path) -> None:
    shown = run(tmp_path, "sheet", "--help").stdout
    for words in ("--for", "--as", "-o", "--units", "--columns", "remembered", "Examples:", "brinecall sheet last"):
        assert words in shown
    assert "--units" in run(tmp_path, "ask", "--help").stdout
    assert "sheet" in run(tmp_path, "--help").stdout


@pytest.mark.e2e
def test_jobs_are_completed(kept: tuple[Path, str, str]) -> None:
    folder, older, _ = kept
    words = {"_BRINECALL_COMPLETE": "bash_complete", "COMP_WORDS": "brinecall sheet ", "COMP_CWORD": "2"}
    done = subprocess.run(PROGRAM, env=environment(folder, **words), capture_output=True, timeout=LIMIT_S, check=False)
    assert {older, "last"} <= {line.partition(",")[2] for line in done.stdout.decode().split()}


@pytest.fixture(params=["EST+5", "AEST-10"])
def far_from_greenwich(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """West and east of it, where the first hours and the last ones of all years are not on the clocks' calendar."""
    monkeypatch.setenv("TZ", request.param)
    if hasattr(time, "tzset"):
        time.tzset()
    yield
    monkeypatch.undo()
    if hasattr(time, "tzset"):
        time.tzset()


@pytest.mark.usefixtures("far_from_greenwich")
@pytest.mark.parametrize("at", ["0001-01-01T00:00:00Z", "9999-12-31T23:59:59Z", "yesterday", "2026-13-40"])
def test_a_closing_time_that_is_no_time_is_no_traceback(tmp_path: Path, at: str) -> None:
    events = [
        Event("opened", at, value="2026-01-01-0900"),
        Event("answered", at, about="role", value="field"),
        Event("answered", at, about="danger_now", value="none"),
        Event("answered", at, about="complaint", value="no-output"),
        Event("closed", at, value="wait"),
    ]
    (tmp_path / "2026-01-01-0900.jsonl").write_bytes(b"".join(map(event_line, events)))
    assert command_line(["--jobs", str(tmp_path), "sheet", "last"]) == 0

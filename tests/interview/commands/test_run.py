"""One run from the start to its exit code, killed and taken up again."""

from __future__ import annotations

import os
import re
import select
import shutil
import signal
import subprocess
from pathlib import Path

import pytest

from engine.session.journal import read_events
from engine.session.session import Session
from interview.command_line.context import Places
from tests.interview.people import LIMIT_S, PROGRAM, environment, lines, run
from tests.shipped import models

ANSWERS = (
    *("field", "none", "default", "no-output", "clear", "cell_service", "nothing known", "14 months"),
    *("can't no clamp", "done", "white_scale"),
)
"""A technician's way to the plates, without a meter; after them the repair's cautions are to be confirmed."""


def test_the_command_to_resume_names_the_same_places() -> None:
    assert Places().command("resume", "j") == "brinecall resume j"
    places = Places(faults=Path("my faults"), jobs=Path("/jobs"))
    assert places.command("resume", "j") == "brinecall --faults 'my faults' --jobs /jobs resume j"


def start(jobs: Path, *arguments: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [*PROGRAM, *arguments],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(jobs),
    )


def read_until(process: subprocess.Popen[bytes], count: int) -> None:
    """Read what the program shows until it has asked so many times."""
    assert process.stdout is not None
    seen = b""
    while seen.count(b" > ") < count:
        ready, _, _ = select.select([process.stdout], [], [], LIMIT_S)
        assert ready, seen.decode()
        more = os.read(process.stdout.fileno(), 65536)
        assert more, seen.decode()
        seen += more


@pytest.fixture(scope="module")
def left_behind(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The jobs folder as it stood at each question of one run, by how many answers it had; in the end it is killed.

    A process that is killed does nothing more: what stands in its folder at that moment is all that it leaves.
    """
    folder = tmp_path_factory.mktemp("left")
    jobs = folder / "running"
    process = start(jobs)
    assert process.stdin is not None
    for number, answer in enumerate((*ANSWERS, "")):
        read_until(process, 1)
        shutil.copytree(jobs, folder / str(number))
        process.stdin.write(f"{answer}\n".encode() if answer else b"")
        process.stdin.flush()
    process.send_signal(signal.SIGKILL)
    process.communicate(timeout=LIMIT_S)
    shutil.rmtree(folder / str(len(ANSWERS)))
    jobs.rename(folder / str(len(ANSWERS)))
    return folder


@pytest.mark.e2e
@pytest.mark.parametrize("answered", range(len(ANSWERS) + 1))
def test_killed_between_any_two_answers_it_goes_on_where_it_was(
    tmp_path: Path, left_behind: Path, answered: int
) -> None:
    shutil.copytree(left_behind / str(answered), tmp_path, dirs_exist_ok=True)
    (path,) = tmp_path.glob("*.jsonl")
    events = read_events(path)
    if not answered:
        assert [event.kind for event in events] == ["opened"]
        assert run(tmp_path, "resume").returncode == 2
        return
    kept = Session(models(), events)
    assert len([event for event in events if event.kind != "opened"]) == answered
    again = run(tmp_path, "resume", typed="finish\nkeep\n")
    assert again.returncode == 0, again.stderr
    assert Session(models(), read_events(path)[: len(events)]).next() == kept.next()
    uninterrupted = tmp_path / "uninterrupted"
    run(uninterrupted, typed=lines(*ANSWERS[:answered]))
    (whole,) = uninterrupted.glob("*.jsonl")
    fresh = Session(models(), read_events(whole))
    assert fresh.next() == kept.next()
    assert fresh.job.readings == kept.job.readings


@pytest.mark.e2e
def test_a_line_cut_short_by_a_power_cut_is_asked_again(tmp_path: Path) -> None:
    run(tmp_path, typed=lines(*ANSWERS[:5]))
    (path,) = tmp_path.glob("*.jsonl")
    whole = read_events(path)
    path.write_bytes(path.read_bytes()[:-9])
    done = run(tmp_path, "resume", typed=lines("clear"))
    assert done.returncode == 0, done.stderr
    again = [(e.kind, e.about, e.value) for e in read_events(path) if e.kind != "resumed"]
    assert again == [(e.kind, e.about, e.value) for e in whole]


@pytest.mark.e2e
def test_a_job_is_kept_and_resumed_to_its_end(tmp_path: Path) -> None:
    first = run(tmp_path, typed=lines(*ANSWERS[:10], "leave"))
    (path,) = tmp_path.glob("*.jsonl")
    assert f"brinecall resume {path.stem}" in first.stderr
    second = run(tmp_path, "resume", typed=lines("off", "done", "white_scale", "ok", "done", "done", "3"))
    assert "answers so far: 8" in second.stdout
    # Who takes a job up again may be another person: isolation is proved anew, and cautions are confirmed anew.
    assert len(re.findall(r'\bok"? > ', second.stdout)) == 1
    third = run(tmp_path, "resume", path.stem[-4:], typed=lines("helped", "back", "close"))
    assert third.returncode == 0, third.stderr
    assert third.stderr == f"The job is closed. To see its sheet again:\nbrinecall sheet {path.stem}\n"
    assert Session(models(), read_events(path)).job.decision == "repair_here"
    fourth = run(tmp_path, "resume", path.stem)
    assert "This job is closed." in fourth.stdout
    fifth = run(tmp_path, "resume")
    assert fifth.returncode == 2
    assert len(fifth.stderr.splitlines()) == 1
    assert "no open job" in fifth.stderr


@pytest.mark.e2e
def test_the_newest_of_several_open_jobs_is_resumed_and_the_others_named(tmp_path: Path) -> None:
    for complaint in ("low-salt", "cold-water"):
        run(tmp_path, typed=lines("field", "none", "default", complaint))
    older, newer = sorted(path.stem for path in tmp_path.glob("*.jsonl"))
    done = run(tmp_path, "resume")
    assert f"Continuing job {newer}" in done.stdout
    assert f"Also open: {older}" in done.stdout.replace("\n", " ")


@pytest.mark.e2e
def test_the_same_job_in_two_windows_is_refused_in_one_line(tmp_path: Path) -> None:
    run(tmp_path, typed=lines(*ANSWERS[:4]))
    process = start(tmp_path, "resume")
    try:
        read_until(process, 1)
        second = run(tmp_path, "resume")
    finally:
        process.communicate(timeout=LIMIT_S)
    assert second.returncode == 2
    assert len(second.stderr.splitlines()) == 1
    assert "another window" in second.stderr


@pytest.mark.e2e
def test_nobody_reading_the_output_is_no_error_message(tmp_path: Path) -> None:
    process = start(tmp_path)
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdout.close()
    process.stdin.write(b"field\nnone\n")
    process.stdin.close()
    assert process.stderr is not None
    assert process.stderr.read() == b""
    process.wait(timeout=LIMIT_S)
    process.stderr.close()


@pytest.mark.e2e
def test_jobs_that_cannot_be_written_are_said_before_anything_is_asked(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    done = run(tmp_path / "file", typed="field\n")
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 1
    assert "--jobs FOLDER" in done.stderr
    assert "What is the problem? Say it" not in done.stdout

"""The command `record` and the word in the interview: kept with the job, shown, undone; or refused in one line."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.session.journal import RECORDED, read_events
from interview.commands.app import command_line
from tests.interview.people import lines, run


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    """A folder with one job that has begun."""
    run(tmp_path, typed=lines("field", "none", "default", "low-salt", "leave"))
    return tmp_path


def kept(jobs: Path) -> list[tuple[str, object, str]]:
    (path,) = jobs.glob("*.jsonl")
    return [(event.about, event.value, event.text) for event in read_events(path) if event.kind == RECORDED]


def test_what_is_given_is_kept_with_the_job_and_shown(jobs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    given = ["customer=Ann Example", "travel=25min", "labour=1.5h", "part:cell=1", "part:salt=0,5 kg", "photo=a.jpg"]
    assert command_line(["--jobs", str(jobs), "record", "last", *given]) == 0
    assert kept(jobs) == [
        ("customer", "Ann Example", ""),
        ("travel", 25.0, ""),
        ("labour", 90.0, ""),
        ("part:cell", 1.0, ""),
        ("part:salt", 0.5, "kg"),
        ("photo", "a.jpg", ""),
    ]
    shown = capsys.readouterr().out
    # Whoever wrote to the newest job must see which one that was.
    assert shown.startswith(f"Job: {next(jobs.glob('*.jsonl')).stem}\n")
    assert all(text in shown for text in ("Ann Example", "25 min", "90 min", "0.5 kg", "a.jpg"))
    assert command_line(["--jobs", str(jobs), "record"]) == 0
    assert capsys.readouterr().out == shown
    assert command_line(["--jobs", str(jobs), "record", "--undo"]) == 0
    assert "a.jpg" not in capsys.readouterr().out


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ("customer", "job"),
        ("color=red", "color"),
        ("travel=far", "travel=25min"),
        ("travel=-5", "travel=25min"),
        ("due=monday", "due=2026-12-07"),
        ("part:cel=1", "cell"),
        ("part:cell=some", "part:cell=1"),
        ("part:cell=1 parsec", "part:cell=1"),
        ("customer=", "customer="),
    ],
)
def test_what_cannot_be_recorded_is_told_in_one_line_and_nothing_is_kept(
    jobs: Path, capsys: pytest.CaptureFixture[str], wrong: str, said: str
) -> None:
    given = [wrong] if wrong == "customer" else ["site=Here", wrong]
    assert command_line(["--jobs", str(jobs), "record", *given]) == 2
    told = capsys.readouterr().err
    assert len(told.splitlines()) == 1
    assert said in told
    assert kept(jobs) == []


def test_undo_takes_back_a_record_and_nothing_else(jobs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line(["--jobs", str(jobs), "record", "--undo"]) == 2
    assert command_line(["--jobs", str(jobs), "record", "site=Here", "--undo"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 2


def test_it_is_said_inside_the_interview_too_and_taken_back_there(tmp_path: Path) -> None:
    said = ['record customer="Ann Example" travel=25min', "record nonsense", "record", "back", "leave"]
    done = run(tmp_path, typed=lines("field", "none", "default", "low-salt", *said))
    assert kept(tmp_path) == [("customer", "Ann Example", ""), ("travel", 25.0, "")]
    assert "nonsense has no equals sign" in " ".join(done.stdout.split()).lower()
    assert "undone: travel=25" in " ".join(done.stdout.split()).lower()

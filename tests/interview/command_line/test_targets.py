"""What a paper is never written over."""

from __future__ import annotations

import os
import shutil
from importlib.resources import files
from pathlib import Path

import pytest

from interview.command_line.context import Places
from interview.command_line.targets import inputs_of, refusal_of
from interview.commands.app import command_line

FAULTS = Path(str(files("faults")))


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with faults, a job, a file of calls by any name, and links to all of them."""
    shutil.copytree(FAULTS, tmp_path / "faults", ignore=shutil.ignore_patterns("__pycache__"))
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / "2026-01-01-0900.jsonl").write_text("job\n")
    shutil.copy(FAULTS / "calls" / "visible.yaml", tmp_path / "mycalls")
    (tmp_path / "link").symlink_to(tmp_path / "mycalls")
    os.link(tmp_path / "mycalls", tmp_path / "twin")
    os.link(tmp_path / "faults" / "parts.yaml", tmp_path / "parts")
    os.link(tmp_path / "jobs" / "2026-01-01-0900.jsonl", tmp_path / "job")
    (tmp_path / "nowhere").symlink_to(tmp_path / "gone")
    (tmp_path / "round").symlink_to(tmp_path / "round")
    monkeypatch.chdir(tmp_path)
    return tmp_path


CALLS = ["mycalls", "link", "twin"]
"""The file of calls, by each of its names."""
TARGETS = ["parts", "job", "faults/roles.yaml", "faults/new.txt", "jobs/2026-01-01-0900.jsonl", "nowhere", "round"]
TARGETS += ["new.jsonl", "new.yaml", "faults"]
COMMANDS = [
    ["ask", "--facts", "mycalls", "-o"],
    ["sheet", "last", "-o"],
    ["draw", "no-output", "-o"],
    ["card", "no-output", "-o"],
    ["ask", "-o"],
]


@pytest.mark.parametrize(
    ("command", "target"),
    [
        *((command, target) for command in COMMANDS for target in TARGETS),
        # Only one of them reads the calls.
        *((COMMANDS[0], target) for target in CALLS),
    ],
    ids=str,
)
def test_no_command_writes_over_what_is_read_or_into_nothing(
    place: Path, capsys: pytest.CaptureFixture[str], command: list[str], target: str
) -> None:
    before = {path: path.read_bytes() for path in place.rglob("*") if path.is_file()}
    assert command_line(["--faults", "faults", "--jobs", "jobs", *command, target]) == 2
    said = capsys.readouterr().err
    assert len(said.splitlines()) == 1
    assert "name a" in said or "folder" in said or "file" in said
    assert {path: path.read_bytes() for path in place.rglob("*") if path.is_file()} == before


def test_other_files_and_new_ones_may_be_written(place: Path) -> None:
    inputs = inputs_of(Places(place / "faults", place / "jobs"), place / "mycalls")
    (place / "old.txt").write_text("old")
    assert [refusal_of(place / name, inputs) for name in ("old.txt", "new.html", "jobs/2026-01-01-0900.txt")] == [
        ""
    ] * 3


def test_a_pipe_that_nobody_reads_is_said_and_not_waited_for(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    if hasattr(os, "mkfifo"):
        os.mkfifo(place / "pipe")
        assert command_line(["draw", "cold-water", "-o", "pipe"]) == 2
        assert "could not be saved" in capsys.readouterr().err


def test_inputs_that_are_no_files_or_never_end_are_told_in_one_line(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if not hasattr(os, "mkfifo"):
        return
    os.mkfifo(place / "pipe")
    for name in ("pipe", "/dev/zero", "nowhere", "round", "faults"):
        for command in (["ask", "--facts", name], ["try", name]):
            assert command_line(command) == 2
            assert len(capsys.readouterr().err.splitlines()) == 1, command
    for name in ("nowhere", "round", "pipe"):
        (place / name).rename(place / "faults" / "checks" / f"{name}.yaml")
    (place / "faults" / "causes" / "endless.yaml").symlink_to("/dev/zero")
    assert command_line(["check", "faults"]) == 1
    told = capsys.readouterr().out
    assert all(f"{name}.yaml:1:1: " in told for name in ("nowhere", "round", "pipe", "endless"))

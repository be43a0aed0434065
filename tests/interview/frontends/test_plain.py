"""Plain lines, through a whole command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.session.journal import read_events
from engine.session.session import Session
from interview.frontends.layout import Line
from interview.frontends.plain import PlainLines
from tests.interview.people import lines, run
from tests.shipped import models


def test_lines_are_printed_bare(capsys: pytest.CaptureFixture[str]) -> None:
    PlainLines().write([Line("a"), Line("b", "DANGER")])
    assert capsys.readouterr().out == "a\nb\n"


def test_a_counter_call_on_plain_lines(tmp_path: Path) -> None:
    typed = lines("counter", "none", "dk", "no-output", "1", "clear", "back", "1", "dk", "finish", "close")
    done = run(tmp_path, typed=typed)
    assert done.returncode == 0, done.stderr
    assert done.stderr.startswith("The job is closed. To see its sheet again:\nbrinecall sheet ")
    assert "What is the problem? Say it" in done.stdout
    assert "is assumed, and the sheet says so" in done.stdout
    assert "Sheet saved as" in done.stdout
    assert "\x1b" not in done.stdout


def test_what_came_through_is_in_the_journal(tmp_path: Path) -> None:
    run(tmp_path, typed=lines("field", "none", "default", "low-salt", "note beware of the dog"))
    (path,) = tmp_path.glob("*.jsonl")
    job = Session(models(), read_events(path)).job
    assert (job.role, job.danger_said, job.danger) == ("field", True, None)
    assert (job.unit, job.complaint) == ("default", "low-salt")
    assert job.notes == ["beware of the dog"]


def test_forty_columns_cut_no_word(tmp_path: Path) -> None:
    done = run(tmp_path, typed=lines("phone", "dk", "2", "4", "?", "finish", "keep"), COLUMNS="40")
    assert done.returncode == 0
    # The path of the kept sheet is one word of its own, as long as it is.
    assert [line for line in done.stdout.splitlines() if len(line) > 40 and str(tmp_path.name) not in line] == []


@pytest.mark.parametrize("typed", [b"", b"\xff\xfe\x00\xb1", b"\x00\x01\x02\n" * 50, "é\u202e\n".encode() * 3])
def test_binary_input_ends_without_a_traceback(tmp_path: Path, typed: bytes) -> None:
    done = run(tmp_path, typed=typed)
    assert done.returncode == 0
    assert "Traceback" not in done.stderr


def test_a_screen_that_knows_ascii_only_gets_question_marks(tmp_path: Path) -> None:
    typed = lines("field", "none", "default", "cold-water", "18 C", "finish", "keep")
    done = run(tmp_path, typed=typed, PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert done.returncode == 0
    assert done.stdout.isascii()

"""What a killed program left unfiled goes into the store at the next start, once, whatever is done there."""

from __future__ import annotations

import subprocess
import time
from contextlib import closing
from pathlib import Path

import pytest

from engine.session.journal import read_events
from engine.store.connect import open_store
from engine.store.listing import JobLine, Wanted, list_jobs
from engine.store.rows import filed
from interview.storage.unfiled import marked
from tests.interview.people import LIMIT_S, PROGRAM, environment, lines, started

SAID = lines("counter", "none", "low-salt", "1", "note the dog bites")


def on_file(address: Path) -> list[JobLine]:
    with closing(open_store(str(address))) as store, store.reading() as connection:
        return list_jobs(connection, Wanted(), 10)


def killed_in_the_middle(folder: Path, store: Path) -> Path:
    """The journal of an interview whose program was killed (SIGKILL) once its note was on disk."""
    with subprocess.Popen(
        PROGRAM,
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env=environment(folder, BRINECALL_STORE=str(store)),
    ) as program:
        assert program.stdin is not None
        program.stdin.write(SAID.encode())
        program.stdin.flush()
        until = time.monotonic() + LIMIT_S
        while not any("dog bites" in path.read_text() for path in folder.glob("*.jsonl")):
            assert time.monotonic() < until
            time.sleep(0.05)
        program.kill()
    (journal,) = folder.glob("*.jsonl")
    return journal


@pytest.mark.e2e
@pytest.mark.parametrize(
    ("command", "typed"),
    [
        pytest.param((), lines("leave"), id="a new interview, left at once"),
        pytest.param((), lines("counter", "none", "no-flow", "leave"), id="a new interview"),
        pytest.param(("resume",), lines("leave"), id="the same taken up"),
        pytest.param(("jobs", "send"), "", id="sent by hand"),
        pytest.param(("due",), "", id="a command of the store"),
    ],
)
def test_what_a_killed_program_left_is_filed_at_the_next_start(
    tmp_path: Path, command: tuple[str, ...], typed: str
) -> None:
    folder, store = tmp_path / "jobs", tmp_path / "shop.sqlite"
    journal = killed_in_the_middle(folder, store)
    assert marked(folder) == [journal.stem]
    for _ in range(2):
        done = started(folder, *command, typed=typed, BRINECALL_STORE=str(store))
        assert (done.returncode, done.stderr.count("Traceback")) == (0, 0), done.stderr
        assert journal.stem not in marked(folder)
    (line,) = (line for line in on_file(store) if line.name == journal.stem)
    with closing(open_store(str(store))) as opened, opened.reading() as connection:
        kept = [row.event for row in filed(connection, line.job)]
    assert kept == list(read_events(journal))


@pytest.mark.e2e
def test_a_store_that_is_away_stops_no_start(tmp_path: Path) -> None:
    folder = tmp_path / "jobs"
    journal = killed_in_the_middle(folder, tmp_path / "shop.sqlite")
    away = tmp_path / "no" / "such"
    away.parent.write_text("a file, and no folder")
    done = started(folder, typed=lines("counter", "none", "no-flow", "leave"), BRINECALL_STORE=str(away))
    assert (done.returncode, done.stderr.count("Traceback")) == (0, 0), done.stderr
    # Told once, though it was tried at the beginning and at the end.
    assert done.stderr.count(str(away)) == 1
    assert journal.stem in marked(folder)

"""Somebody is forgotten in the store and in the files here, or in neither."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest

from engine.session.journal import Event, Journal
from engine.store.connect import open_store
from engine.store.tables import PERSONAL, events
from interview.storage.unfiled import mark
from tests.engine.store.made import an_id, rows_of
from tests.interview.people import run

NAME = "2026-03-01-0900"


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    folder = tmp_path / "jobs"
    journal = Journal(folder, NAME, new=True)
    mark(folder, NAME)
    for event in (
        Event("opened", "2026-03-01T09:00:00Z", about=an_id(1), value=NAME, by="maria @ north"),
        Event("recorded", "2026-03-01T09:01:00Z", about="customer", value="José García"),
        Event("noted", "2026-03-01T09:02:00Z", text="the dog bites"),
        Event("answered", "2026-03-01T09:03:00Z", about="tested_salt", value=3200.0, text="salt 3200"),
    ):
        journal.write(event)
    journal.close()
    (folder / f"{NAME}.pdf").write_text("José García")
    return folder


def test_no_word_is_left_in_the_store_or_here(jobs: Path) -> None:
    address = str(jobs / "store.sqlite")
    assert run(jobs, "jobs", "send", BRINECALL_STORE=address).returncode == 0
    with closing(open_store(address)) as store:
        before = rows_of(store, events)
    done = run(jobs, "forget", "garcia", "--yes", BRINECALL_STORE=address)
    assert (done.returncode, done.stderr) == (0, "")
    assert "Erased here and in the store: pieces of text: 3, sheets: 1." in done.stdout
    assert {path.name for path in jobs.iterdir() if path.suffix in (".jsonl", ".pdf")} == {f"{NAME}.jsonl"}
    kept = (jobs / f"{NAME}.jsonl").read_text()
    assert not [word for word in ("García", "dog", "salt 3200") if word in kept]
    with closing(open_store(address)) as store:
        assert rows_of(store, events) == before
        assert not any(rows_of(store, *PERSONAL).values())
    done = run(jobs, "jobs", "send", "--all", BRINECALL_STORE=address)
    assert (done.returncode, done.stdout) == (0, "Jobs sent to the store: 1\n")
    assert run(jobs, "pool", "garcia", BRINECALL_STORE=address).stdout == "There is no matching record.\n"


def test_while_a_job_of_theirs_is_open_nothing_is_erased(jobs: Path) -> None:
    address = str(jobs / "store.sqlite")
    assert run(jobs, "jobs", "send", BRINECALL_STORE=address).returncode == 0
    with closing(open_store(address)) as store:
        before = rows_of(store)
        journal = Journal(jobs, NAME)
        done = run(jobs, "forget", "garcia", "--yes", BRINECALL_STORE=address)
        journal.close()
        assert done.returncode == 2
        assert "open in another window" in done.stderr
        assert rows_of(store) == before
    assert "García" in (jobs / f"{NAME}.jsonl").read_text()
    assert (jobs / f"{NAME}.pdf").exists()


def test_a_learner_s_scores_are_erased_and_no_others(jobs: Path) -> None:
    address = str(jobs / "store.sqlite")
    scores = jobs.parent / "practice" / "scores.jsonl"
    scores.parent.mkdir()
    lines = ['{"learner": "ann", "right": true}', "spoilt", '{"learner": "ann b", "right": true}', "[1]", ""]
    scores.write_text("\n".join(lines), encoding="utf-8")
    assert run(jobs, "jobs", "send", BRINECALL_STORE=address).returncode == 0
    asked = run(jobs, "forget", "ann", BRINECALL_STORE=address)
    assert asked.returncode == 2
    assert "--yes" in asked.stderr
    assert scores.read_text(encoding="utf-8").splitlines() == lines[:-1]
    done = run(jobs, "forget", "ann", "--yes", BRINECALL_STORE=address)
    assert (done.returncode, done.stderr) == (0, "")
    assert "Practice scores erased: 1." in done.stdout
    assert scores.read_text(encoding="utf-8").splitlines() == lines[1:-1]
    assert run(jobs, "forget", "ann", "--yes", BRINECALL_STORE=address).returncode == 2

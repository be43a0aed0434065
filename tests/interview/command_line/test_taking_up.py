"""Two counters with one store: a job is gone on with at either, by one at a time."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.session.journal import read_events
from engine.store import leases
from engine.store.connect import open_store
from engine.store.identity import Writer
from interview.command_line.context import Places
from interview.command_line.store_access import send_waiting
from interview.command_line.taking_up import taken_up_here
from interview.storage.jobs import JobError
from tests.interview.people import clock, lines, run

OPENED = lines("counter", "none", "low-salt", "1", "note the dog bites", "leave")


@pytest.fixture
def counters(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, Path]:
    """The jobs folders of two counters that share a store."""
    monkeypatch.setenv("BRINECALL_STORE", str(tmp_path / "shop.sqlite"))
    for name in ("north", "south"):
        (tmp_path / f"{name}-choices").mkdir()
        (tmp_path / f"{name}-choices" / "preferences.json").write_text(f'{{"counter": "{name} shop"}}')
    return tmp_path / "north", tmp_path / "south"


def test_a_job_begun_at_one_counter_is_gone_on_with_at_the_other_and_back(counters: tuple[Path, Path]) -> None:
    north, south = counters
    assert run(north, typed=OPENED).returncode == 0
    (begun,) = north.glob("*.jsonl")
    there = run(south, "resume", begun.stem, typed=lines("note he has a cat too", "leave"))
    assert there.returncode == 0, there.stderr
    back = run(north, "resume", begun.stem, typed=lines("note and a horse", "leave"))
    assert back.returncode == 0, back.stderr
    notes = [event.text for event in read_events(begun) if event.kind == "noted"]
    assert notes == ["the dog bites", "he has a cat too", "and a horse"]
    shown = run(south, "jobs", "show", begun.stem)
    assert all(note in shown.stdout for note in notes), shown.stderr
    assert "south shop" in shown.stdout


def test_a_job_that_somebody_has_open_is_refused_with_who(counters: tuple[Path, Path], tmp_path: Path) -> None:
    north, south = counters
    run(north, typed=OPENED)
    (begun,) = north.glob("*.jsonl")
    places = Places(jobs=north, store=str(tmp_path / "shop.sqlite"))
    with taken_up_here(places, begun.stem):
        refused = run(south, "resume", begun.stem, typed=lines("leave"))
        assert refused.returncode == 2
        assert "is open with" in refused.stderr
        assert list(south.glob("*.jsonl")) == []
    assert run(south, "resume", begun.stem, typed=lines("leave")).returncode == 0


def test_what_a_crash_left_taken_is_free_after_a_while(tmp_path: Path) -> None:
    store, now = open_store(str(tmp_path / "shop.sqlite")), clock()
    north, south = Writer("maria", "north shop"), Writer("juan", "south shop")
    with store.writing() as connection:
        assert leases.take(connection, "a" * 36, north, now) is None
        assert leases.take(connection, "a" * 36, north, now) is None
        assert leases.take(connection, "a" * 36, south, now + leases.LASTS * 0.9) == north
        assert leases.take(connection, "a" * 36, south, now + leases.LASTS * 1.1) is None
        leases.give_back(connection, "a" * 36, north)
        assert leases.take(connection, "a" * 36, north, now + leases.LASTS * 1.2) == south
    store.close()


def test_two_counters_may_call_a_job_the_same(counters: tuple[Path, Path], tmp_path: Path) -> None:
    north, south = counters
    for folder in counters:
        run(folder, typed=OPENED)
    names = [path.stem for folder in counters for path in folder.glob("*.jsonl")]
    shared = names[0]
    if len(set(names)) == 2:
        (other,) = south.glob("*.jsonl")
        other.rename(south / f"{shared}.jsonl")
    store = open_store(str(tmp_path / "shop.sqlite"))
    send_waiting(store, south, everything=True)
    store.close()
    again = run(north, "resume", shared, typed=lines("leave"))
    assert again.returncode == 0, again.stderr


def test_a_job_that_nobody_has_is_refused(tmp_path: Path) -> None:
    places = Places(jobs=tmp_path / "here", store=str(tmp_path / "shop.sqlite"))
    with pytest.raises(JobError, match="no job is called"), taken_up_here(places, "2026-01-01-0900"):
        pass

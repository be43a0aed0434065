"""Two counters with one store: a job is gone on with at either, by one at a time."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from engine.session.journal import Journal, read_events
from engine.store import leases
from engine.store.connect import open_store
from engine.store.identity import Writer
from engine.store.listing import Wanted, list_jobs
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
        assert "is open at" in refused.stderr
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
    with pytest.raises(JobError, match="there is no job"), taken_up_here(places, "2026-01-01-0900"):
        pass


def test_whoever_is_forgotten_at_one_counter_is_forgotten_at_the_other(counters: tuple[Path, Path]) -> None:
    north, south = counters
    named = lines("counter", "none", "low-salt", "1", 'record customer="Rosalind Quimby" site="9 Mill Road"', "leave")
    run(north, typed=named)
    (begun,) = north.glob("*.jsonl")
    run(south, "resume", begun.stem, typed=lines("note the gate is blue", "finish", "2"))
    assert any("Quimby" in path.read_text() for path in south.glob("*.jsonl"))
    done = run(north, "forget", "quimby", "--yes")
    assert done.returncode == 0, done.stderr
    run(south, "jobs")
    left = [path for folder in counters for path in folder.rglob("*.*") if path.suffix in (".jsonl", ".txt")]
    assert left
    for path in left:
        assert not any(word in path.read_text() for word in ("Quimby", "Mill Road", "gate is blue")), path


def test_a_job_gone_on_with_at_two_counters_is_kept_as_two(counters: tuple[Path, Path]) -> None:
    north, south = counters
    run(north, typed=OPENED)
    (begun,) = north.glob("*.jsonl")
    run(south, "resume", begun.stem, typed=lines("note from the south", "leave"))
    # The store is away for the north, who goes on with what lies there.
    run(north, "resume", begun.stem, typed=lines("note from the north", "leave"), BRINECALL_STORE="none")
    told = run(north, "jobs")
    assert "saved as a separate job" in told.stderr
    assert run(north, "jobs").stderr == ""
    listed = run(south, "jobs", "--csv").stdout.splitlines()
    assert len(listed) == 3
    shown = "".join(run(south, "jobs", "show", row.split(",")[0]).stdout for row in listed[1:])
    assert "from the north" in shown
    assert "from the south" in shown


def test_a_paper_is_of_the_job_as_the_shop_has_it_and_a_name_is_enough(counters: tuple[Path, Path]) -> None:
    north, south = counters
    run(north, typed=lines("counter", "none", "low-salt", "1", 'record customer="Rosalind Quimby"', "leave"))
    sheet = run(south, "sheet", "quimby", "--for", "technician")
    assert sheet.returncode == 0, sheet.stderr
    assert "Rosalind Quimby" in sheet.stdout
    again = run(south, "resume", "quimbey", typed=lines("leave"))
    assert again.returncode == 0, again.stderr
    closed = run(south, "close", "quimby", "salt_low")
    assert closed.returncode == 0, closed.stderr
    assert "salt low" in run(north, "jobs", "quimby").stdout


def test_a_job_in_danger_is_not_closed_by_the_way_and_is_due_first(counters: tuple[Path, Path]) -> None:
    north, _ = counters
    run(north, typed=lines("counter", "tingle", "leave"))
    refused = run(north, "close", "last", "never_known")
    assert refused.returncode == 2
    assert "danger" in refused.stderr
    assert "danger" in run(north, "due").stdout
    assert "open, DANGER" in run(north, "jobs").stdout


def test_a_job_that_is_open_here_still_has_its_sheet(counters: tuple[Path, Path]) -> None:
    north, _ = counters
    run(north, typed=OPENED)
    (begun,) = north.glob("*.jsonl")
    journal = Journal(north, begun.stem)
    try:
        done = run(north, "sheet", begun.stem)
    finally:
        journal.close()
    assert done.returncode == 0, done.stderr
    assert begun.stem in done.stdout


def test_a_job_that_could_not_go_into_the_store_can_be_gone_on_with_here(counters: tuple[Path, Path]) -> None:
    north, _ = counters
    run(north, typed=OPENED)
    (begun,) = north.glob("*.jsonl")
    unfit = "2026-03-02-0900"
    words = '{"v": 1, "kind": "recorded", "at": "x", "about": "labour", "value": "long"}'
    told = begun.read_text().replace(begun.stem, unfit).replace(read_events(begun)[0].about, "e" * 36)
    (north / f"{unfit}.jsonl").write_text(f"{told}{words}\n")
    again = run(north, "resume", unfit, typed=lines("note still here", "leave"))
    assert again.returncode == 0, again.stderr
    assert "still here" in (north / f"{unfit}.jsonl").read_text()


def test_a_spoilt_last_line_keeps_the_places_of_those_from_elsewhere(
    counters: tuple[Path, Path],
) -> None:
    north, south = counters
    run(north, typed=OPENED)
    (begun,) = north.glob("*.jsonl")
    run(south, "resume", begun.stem, typed=lines("note from the south", "leave"))
    before = read_events(next(south.glob("*.jsonl")))
    begun.write_text(f"{begun.read_text()}spoilt\n")
    again = run(north, "resume", begun.stem, typed=lines("note from the north", "leave"))
    assert again.returncode == 0, again.stderr
    assert "saved as a separate job" not in again.stderr
    shown = run(south, "jobs", "show", begun.stem, "--json").stdout
    assert "from the north" in shown
    assert all(event.text in shown for event in before if event.kind == "noted")


def test_a_job_closed_at_the_other_counter_is_closed_at_the_first(counters: tuple[Path, Path]) -> None:
    north, south = counters
    run(north, typed=OPENED, LOGNAME="maria")
    (begun,) = north.glob("*.jsonl")
    closed = run(south, "close", begun.stem, "cell_scaled", "--minutes", "20", LOGNAME="juan")
    assert closed.returncode == 0, closed.stderr
    # What is told later does not make unknown what was told before.
    later = run(south, "close", begun.stem, "--came-back", "yes", LOGNAME="juan")
    assert later.stdout == closed.stdout
    assert "no open job" in run(north, "resume").stderr
    named = run(north, "resume", begun.stem, typed=lines("leave"))
    assert "juan @ south shop" in named.stdout
    assert "Question 1" not in named.stdout
    (labour,) = (row for row in run(north, "sheet", begun.stem, "--as", "csv").stdout.splitlines() if ",labour," in row)
    assert ",20,min," in labour


@pytest.mark.parametrize("here", [False, True], ids=["journal elsewhere", "journal here"])
def test_who_closed_a_job_is_kept_wherever_its_journal_lies(counters: tuple[Path, Path], here: bool) -> None:
    north, south = counters
    run(north, typed=OPENED, LOGNAME="maria")
    (begun,) = north.glob("*.jsonl")
    if here:
        run(south, "resume", begun.stem, typed=lines("leave"), LOGNAME="juan")
        run(north, "resume", begun.stem, typed=lines("leave"), LOGNAME="maria")
    run(south, "close", begun.stem, "cell_scaled", LOGNAME="juan")
    events = json.loads(run(north, "jobs", "show", begun.stem, "--json").stdout)["events"]
    (closing,) = (event for event in events if event["kind"] in ("closed", "handed_on"))
    assert (closing["account"], closing["counter"]) == ("juan", "south shop")
    assert "juan" not in run(north, "jobs", "export", "--without-people").stdout


def test_a_job_that_somebody_has_open_is_closed_by_nobody_else_until_that_ends(
    counters: tuple[Path, Path], tmp_path: Path
) -> None:
    north, south = counters
    run(north, typed=OPENED, LOGNAME="maria")
    (begun,) = north.glob("*.jsonl")
    store = open_store(str(tmp_path / "shop.sqlite"))
    with store.reading() as connection:
        (job,) = (line.job for line in list_jobs(connection, Wanted(), 5))
    for taken, code in ((datetime.now(UTC), 2), (datetime.now(UTC) - leases.LASTS * 1.1, 0)):
        with store.writing() as connection:
            leases.take(connection, job, Writer("maria", "north shop"), taken)
        closed = run(south, "close", begun.stem, "cell_scaled", LOGNAME="juan")
        assert closed.returncode == code, closed.stderr
        assert ("is open at maria @ north shop" in closed.stderr) == bool(code)
    store.close()

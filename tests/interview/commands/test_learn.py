"""`brinecall learn`: the same whatever works at it, written as proposals, and nothing where there is nothing."""

from __future__ import annotations

import json
import shutil
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest
from distributed import LocalCluster

from engine.learning.replayed import ReplayedJob, replayed, taken_up
from engine.session.journal import Event
from engine.store.connect import open_store
from engine.store.filing import JobRecord, file_job
from engine.store.identity import Writer
from engine.store.listing import closed_jobs
from engine.store.rows import FiledEvent, filed
from interview.storage.half_seen import HalfSeen
from tests.drawn_jobs import drawn_jobs
from tests.interview.people import run
from tests.shipped import models

FAULTS = Path(__file__).parents[3] / "faults"


@pytest.fixture
def jobs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A jobs folder whose store holds drawn jobs."""
    monkeypatch.delenv("BRINECALL_STORE")
    store = open_store(str(tmp_path / "store.sqlite"))
    with store.writing() as connection:
        for job, events in drawn_jobs(models(), "low-salt", 60, 5, untold=0.3):
            rows = (FiledEvent(number, event, Writer("maria", "north")) for number, event in enumerate(events, start=1))
            file_job(connection, JobRecord(job, "", tuple(rows)))
    store.close()
    return tmp_path


@pytest.mark.e2e
def test_two_processes_learn_the_same_as_one_to_the_last_bit(jobs: Path) -> None:
    alone, together = run(jobs, "learn", "--json"), run(jobs, "learn", "--json", "--workers", "2")
    assert alone.returncode == together.returncode == 0, together.stderr
    assert alone.stdout == together.stdout
    assert json.loads(alone.stdout)[0]["guesses"]["jobs"] == 60


@pytest.mark.e2e
def test_a_cluster_learns_the_same_and_one_that_is_away_is_told_in_a_line(jobs: Path) -> None:
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        together = run(jobs, "learn", "--json", "--on", cluster.scheduler_address)
    assert together.returncode == 0, together.stderr
    assert together.stdout == run(jobs, "learn", "--json").stdout
    away = run(jobs, "learn", "--on", "nowhere")
    assert away.returncode == 2
    assert len(away.stderr.splitlines()) == 1
    assert "cluster" in away.stderr


def test_what_was_broken_off_is_taken_up_and_comes_out_the_same(jobs: Path) -> None:
    whole = run(jobs, "learn", "--json")
    model = models()
    with open_store(str(jobs / "store.sqlite")).reading() as connection:
        work = [(job, tuple(row.event for row in filed(connection, job))) for job in closed_jobs(connection, "")][:30]
    half = HalfSeen(jobs, model.knowledge.fingerprint)
    half.keep((job, len(events), _plain(replayed(model, job, events))) for job, events in work)
    (spool,) = jobs.glob("*.half")
    assert spool.stat().st_mode & 0o077 == 0
    # The last line was torn as the program was ended, and another job has had one event more since.
    spool.write_text(spool.read_text()[:-40])
    again = run(jobs, "learn", "--json")
    assert again.stdout == whole.stdout
    assert "29 jobs" in again.stderr
    assert list(jobs.glob("*.half")) == []


def test_what_was_seen_before_is_not_worked_out_again(jobs: Path) -> None:
    model = models()
    with open_store(str(jobs / "store.sqlite")).reading() as connection:
        rows = [(job, len(filed(connection, job))) for job in closed_jobs(connection, "")]
    HalfSeen(jobs, model.knowledge.fingerprint).keep((job, events, None) for job, events in rows)
    assert run(jobs, "learn").stdout.startswith("There is nothing to learn from yet.")
    assert "60 closed jobs" in run(jobs, "learn").stdout


def test_the_free_words_of_a_job_are_not_kept_beside_it(jobs: Path) -> None:
    model = models()
    with open_store(str(jobs / "store.sqlite")).reading() as connection:
        job = closed_jobs(connection, "")[0]
        events = tuple(row.event for row in filed(connection, job))
    told = [
        *events,
        Event("recorded", events[-1].at, about="cause", value="something_else", text="a lizard, says Ann"),
    ]
    seen = replayed(model, job, told)
    assert seen is not None
    assert "lizard" in seen.in_words
    half = HalfSeen(jobs, model.knowledge.fingerprint)
    half.keep([(job, len(told), _plain(seen))])
    assert "lizard" not in next(jobs.glob("*.half")).read_text()
    kept = half.taken()[job, len(told)]
    assert kept is not None
    assert taken_up(kept, told) == seen


def test_the_picture_of_promises_holds_each_step_of_the_report(jobs: Path) -> None:
    (told,) = json.loads(run(jobs, "learn", "--json", "--tree", "low-salt").stdout)
    assert run(jobs, "learn", "--tree", "low-salt", "-o", str(jobs / "promised.svg")).returncode == 0
    svg = (jobs / "promised.svg").read_text()
    for step in told["guesses"]["reliability"]["steps"]:
        shares = [f"{100 * step[name]:.0f}" for name in ("promised_from", "promised_to", "came_true")]
        assert f"stated {shares[0]} to {shares[1]} %, right in {shares[2]} % of {step['guesses']}" in svg
    for name, why in (("x.txt", ".yaml"), (f"{FAULTS}/new.yaml", "inside the faults folder")):
        refused = run(jobs, "learn", "-o", str(jobs / name))
        assert refused.returncode == 2
        assert why in refused.stderr


def test_the_worked_calls_of_the_folder_are_tried_with_the_proposals(jobs: Path, tmp_path: Path) -> None:
    mine = Path(shutil.copytree(FAULTS, tmp_path / "mine", ignore=shutil.ignore_patterns("calls", "__pycache__")))
    (mine / "calls").mkdir()
    shutil.copy(FAULTS / "calls" / "cell-leak.yaml", mine / "calls")
    told = json.loads(run(jobs, "--faults", str(mine), "learn", "--calls", "--json").stdout)
    assert told["calls"]["calls"] == (FAULTS / "calls" / "cell-leak.yaml").read_text().count("\ncause: ")
    assert [lesson["tree"] for lesson in told["lessons"]] == ["low-salt"]
    shown = run(jobs, "--faults", str(mine), "learn", "--calls").stdout
    counts = told["calls"]
    assert f"In {counts['calls']} sample calls the first cause is right in {counts['right_now']};" in shown


def _plain(seen: ReplayedJob | None) -> dict[str, Any] | None:
    return None if seen is None else asdict(seen)


def test_proposals_are_written_to_a_file_and_nothing_else_is_changed(jobs: Path) -> None:
    done = run(jobs, "learn", "--tree", "low-salt", "-o", str(jobs / "proposals.yaml"))
    assert done.returncode == 0, done.stderr
    assert "60 closed jobs" in done.stdout
    assert "tree: low-salt" in (jobs / "proposals.yaml").read_text()
    assert run(jobs, "learn", "--since", "2030-01-01").stdout.startswith("There is nothing to learn from yet.")


def test_a_tree_that_is_not_there_is_refused_with_those_that_are(jobs: Path) -> None:
    refused = run(jobs, "learn", "--tree", "low_salt")
    assert refused.returncode == 2
    assert "low-salt" in refused.stderr


@pytest.mark.e2e
@pytest.mark.no_cover  # dozens of jobs, each told twice, through branches of the interview that other tests take too
def test_kept_jobs_are_held_against_an_older_state_of_the_knowledge(jobs: Path) -> None:
    older = jobs / "older"
    shutil.copytree(FAULTS, older, ignore=shutil.ignore_patterns("*.py", "languages", "words", "said", "calls"))
    tree = older / "trees" / "low-salt.yaml"
    text = tree.read_text(encoding="utf-8")
    tree.write_text(text.replace("  cell_worn: 8.5\n", "  cell_worn: 10.5\n").replace("salt_low: 36", "salt_low: 34"))
    done = run(jobs, "try", "--jobs", "--against", str(older), "--json")
    assert done.returncode == 0, done.stderr
    report = json.loads(done.stdout)
    assert report["jobs"] == 60
    assert 0 < len(report["moved"]) < 60
    minutes = [one["saved"] for one in report["moved"]]
    assert any(each is not None for each in minutes)

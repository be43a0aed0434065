"""What is billed of all jobs: as each job's own line for the till, and of those days alone that were asked for."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from pathlib import Path

import pytest

from engine.session.journal import Event, Journal
from reports.renderers.till import COLUMNS
from tests.engine.store.made import an_id
from tests.interview.people import run

DAYS = ("2026-10-31", "2026-11-01", "2026-11-30", "2026-12-01")
PARTS = (("part:cell", 1.0, ""), ("part:salt", 37.5, "kg"), ("labour", 90.0, ""), ("travel", 25.0, ""))


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    """A folder with a closed job at the noon of each day, the last of them open; each has one more position."""
    folder = tmp_path / "jobs"
    for number, day in enumerate(DAYS, start=1):
        name = f"{day}-1200"
        told = [
            Event("opened", "", about=an_id(number), value=name, by="maria @ north"),
            Event("answered", "", about="role", value="counter"),
            Event("answered", "", about="danger_now", value="none_sure"),
            Event("answered", "", about="complaint", value="low-salt"),
            Event("recorded", "", about="customer", value=f'=Sum, "{number}"'),
            *(Event("recorded", "", about, value, unit) for about, value, unit in PARTS[:number]),
            *([] if day == DAYS[-1] else [Event("closed", "", value="repair_here")]),
        ]
        journal = Journal(folder, name, new=True)
        for event in told:
            journal.write(Event(**{**vars(event), "at": f"{day}T12:00:00Z"}))
        journal.close()
    return folder


def billed(jobs: Path, *options: str) -> list[dict[str, str]]:
    done = run(jobs, "jobs", "bill", "--csv", *options, BRINECALL_STORE="", TZ="UTC")
    assert done.returncode == 0, done.stderr
    return list(csv.DictReader(io.StringIO(done.stdout, newline="")))


def test_all_jobs_together_are_what_each_is_alone(jobs: Path) -> None:
    """Read by the csv module of Python, which knows nothing of ours."""
    alone = [
        row
        for day in reversed(DAYS)
        for row in csv.DictReader(io.StringIO(run(jobs, "sheet", f"{day}-1200", "--as", "csv").stdout, newline=""))
    ]
    together = billed(jobs)
    assert len(together) == 1 + 2 + 3 + 4
    assert [{name: row[name] for name in COLUMNS} for row in together] == alone
    assert {row["id"] for row in together} == {an_id(number) for number in range(1, 5)}


@pytest.mark.parametrize(
    ("options", "days"),
    [
        (("--since", "2026-11-01", "--until", "2026-11-30"), DAYS[1:3]),
        (("--since", "2026-11-30"), DAYS[2:]),
        (("--until", "2026-10-31"), DAYS[:1]),
        (("--state", "open"), DAYS[3:]),
        (("2026-11",), DAYS[1:3]),
        (("--since", "2027-01-01"), ()),
    ],
)
def test_only_what_was_asked_for_is_billed(jobs: Path, options: Sequence[str], days: Sequence[str]) -> None:
    assert {row["job"][:10] for row in billed(jobs, *options)} == set(days)


def test_the_same_is_told_to_people_and_to_programs(jobs: Path) -> None:
    rows = json.loads(run(jobs, "jobs", "bill", "--json", BRINECALL_STORE="").stdout)
    assert [row["code"] for row in rows] == [row["code"] for row in billed(jobs)]
    told = run(jobs, "jobs", "bill", BRINECALL_STORE="").stdout
    assert all(row["text"] in told and row["quantity"] in told for row in rows)
    none = run(jobs, "jobs", "bill", "--since", "2027-01-01", BRINECALL_STORE="")
    assert (none.returncode, none.stdout) == (0, "")
    assert "Nothing to bill" in none.stderr


@pytest.mark.parametrize("day", ["x", "2026-13-01", "9999-12-31"])
def test_a_day_that_is_none_is_told(jobs: Path, day: str) -> None:
    for command in ("list", "bill"):
        done = run(jobs, "jobs", command, "--until", day, BRINECALL_STORE="")
        assert done.returncode == 2
        assert (day in done.stderr, "Traceback" in done.stderr) == (True, False)

"""The job sheet of a session."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

from engine.session import Session
from interview.frontend import Sheet
from interview.sheet import JobSheet, keep_sheet
from tests.interview.people import PaperSheet, opened
from tests.shipped import models

DAY = date(2026, 5, 4)


def sheet() -> Sheet:
    begun = opened(Session(models()), ("role", "field"), ("danger_now", "none"), ("unit", "default"))
    return JobSheet(opened(begun, ("complaint", "no-output"), ("cell_plates", "white_scale")), DAY)


def test_a_sheet_is_text_and_data_of_the_same_decision() -> None:
    made = sheet()
    assert "2026-05-04" in made.text()
    assert all(len(line) <= 80 for line in made.text().splitlines())
    data = json.loads(json.dumps(made.data()))
    assert data["decision"]["decision"] == made.decision()
    assert made.headline().endswith(".")


def test_a_sheet_is_kept_beside_its_job(tmp_path: Path) -> None:
    made = sheet()
    assert str(tmp_path / "job.txt") in keep_sheet(made, tmp_path, "job")
    assert (tmp_path / "job.txt").read_text(encoding="utf-8") == made.text()


def test_a_sheet_that_cannot_be_kept_is_no_catastrophe(tmp_path: Path) -> None:
    said = keep_sheet(PaperSheet(opened(Session(models()), ("role", "field"))), tmp_path / "nowhere", "job")
    assert "could not be kept" in said

"""Where a program is missing that tests need, the run says so loudly, and fails where they are required."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.machine import NEEDS, REQUIRED

ROOT = Path(__file__).parents[2]
SOME = ["-k", "headings and danger", "tests/reports/renderers/test_in_browser.py"]


def run_without_programs(**more: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *SOME]
    kept = {name: value for name, value in os.environ.items() if name not in (REQUIRED, "PYTEST_ADDOPTS")}
    return subprocess.run(
        command, cwd=ROOT, env={**kept, "PATH": "", **more}, capture_output=True, text=True, timeout=300
    )


@pytest.mark.e2e
def test_the_run_says_loudly_what_did_not_run() -> None:
    run = run_without_programs()
    assert run.returncode == 5  # pytest's code for a run in which nothing was left to test
    assert "NOT RUN" in run.stdout
    assert all(file in run.stdout for file in NEEDS)
    assert "apt-get install chromium less poppler-utils" in run.stdout


@pytest.mark.e2e
def test_where_they_are_required_their_absence_is_a_failure() -> None:
    run = run_without_programs(**{REQUIRED: "required"})
    assert run.returncode == 1
    assert "chromium is missing" in run.stdout


def test_the_files_that_need_a_program_are_there() -> None:
    assert all((ROOT / test.partition("::")[0]).is_file() for test in NEEDS)

"""A whole call in every tree, by each role in turn: back once, an odd unit, two "don't know", one "can't"."""

from __future__ import annotations

from itertools import cycle
from pathlib import Path

import pytest

from tests.interview.people import lines, run
from tests.shipped import knowledge

pytestmark = [pytest.mark.e2e, pytest.mark.no_cover]  # long calls through branches that other tests take too

MEASURED = (
    *("3.4 g/L", "60 ppm", "2 ppm", "50 F", "2 psi", "12000 usgal", "1 year", "480 min"),
    *("20 g/h", "60 %", "7.5 V", "18 A", "7.4 pH"),
)
"""One reading of every kind, most of them not in the question's own unit."""


@pytest.mark.parametrize(
    ("complaint", "role"), list(zip(sorted(knowledge().trees), cycle(("counter", "phone", "field")), strict=False))
)
def test_a_whole_call_ends_in_a_sheet(complaint: str, role: str, tmp_path: Path) -> None:
    """Each question gets the first answer that fits it, so the call is an ordinary one with four odd replies."""
    said = ["none", "1", "back", "1", "dk", "dk", "can't", "the customer will not"]
    # From here on every line is an answer that some question takes; the others are asked back and lose nothing.
    said += ["1", *MEASURED, "done", "helped"] * 40
    # Whoever is asked for more than that ends with what is known.
    said += ["finish", "1"] * 3
    if role == "counter":
        said.insert(1, "nothing")
    call = ("ask", "--role", role, "--complaint", complaint, "--unit", "default")
    done = run(tmp_path / "jobs", *call, typed=lines(*said))
    assert done.returncode == 0, done.stderr
    assert knowledge().fingerprint in done.stdout
    assert all(len(line) <= 80 for line in done.stdout.splitlines())

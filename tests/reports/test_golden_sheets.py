"""Whole sheets, kept as files to be read by people; the jobs of SHEETS serve other tests too.

After an edit of the knowledge or the composing, `python -m tests.reports.test_golden_sheets` writes them anew; read
what changed before keeping it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from engine.knowledge.model import RoleId
from engine.session.journal import Event
from engine.session.session import Session
from reports.renderers.text import RECEIPT, text_form
from reports.sheets.choose import sheets
from tests.reports.jobs import AT, DATE, answers, called, job, opened

FOLDER = Path(__file__).parents[1] / "golden" / "sheets"


def _danger() -> Session:
    said = [Event("opened", AT, value="job-8"), Event("answered", AT, about="role", value="phone")]
    return job(
        *said, Event("answered", AT, about="danger_now", value="tingle"), Event("made_safe", AT, about="danger_now")
    )


def _repaired() -> Session:
    found = answers(
        tested_salt=3350.0, unit_salt=2450.0, cell_plates="white_scale", cell_voltage=8.4, cell_current=11.5
    )
    done = [Event("repaired", AT, about="acid_clean", value="done"), *answers(cell_current=18.4, cell_voltage=7.5)]
    verified = [
        Event("verified", AT, about="acid_clean", value="helped"),
        Event("noted", AT, text="Owner shown the log."),
    ]
    return job(
        *opened("field", "low-salt"),
        Event("dont_know", AT, about="months_since_clean"),
        Event("made_safe", AT, about="cell_plates"),
        *found,
        *done,
        *verified,
        *answers(cell_current=18.4, unit_salt=3300.0),
        Event("closed", AT, value="repair_here"),
    )


def _all_tested(role: RoleId = "counter") -> Session:
    """Every reading that an amount or the plan takes, for one pool."""
    water = answers(
        tested_salt=3100.0,
        ph=8.0,
        alkalinity=120.0,
        hardness=380.0,
        stabiliser=45.0,
        water_temp=27.0,
        free_chlorine=0.2,
    )
    unit = answers(pool_volume=48.0, rated_output=18.0, output_setting=70.0, run_hours=9.0)
    cell = answers(cell_age_years=4.0, months_since_clean=7.0, bather_load="heavy_or_storm", cell_plates="white_scale")
    return job(*opened(role, "no-output", brought="water_sample+cell"), *water, *unit, *cell)


SHEETS: Mapping[str, Callable[[], Session]] = {
    "no-output-field": lambda: called("service reminder ignored since last season"),
    "no-output-counter": lambda: called("pond green after rain, nothing left of the stabiliser"),
    "all-tested-counter": _all_tested,
    "all-tested-field": lambda: _all_tested("field"),
    "low-salt-counter": lambda: called("cell in a bucket and a bottle of pool water"),
    "flow-fault-field": lambda: called("gauge a little high, backwash did not help"),
    "flow-fault-phone": lambda: called("pump basket packed with needles, gauge low", "phone"),
    "cold-water-counter": lambda: called("late autumn, pool thermometer at nine"),
    "supply-fault-counter": lambda: called("customer wants a cell because the house trips"),
    "danger-phone": _danger,
    "repaired-field": _repaired,
}


KEPT: Mapping[str, int] = {
    "no-output-field": 80,  # the technician's sheet of an open job
    "repaired-field": 80,  # and of one that is closed
    "all-tested-counter": 80,  # handout and shop's sheet, every amount and the whole plan worked out
    "flow-fault-phone": 80,  # work that the customer does
    "danger-phone": RECEIPT,  # danger, on a printer of receipts
}
"""What is kept, and at how many columns: of sheets that say the same, one."""


def printed(name: str) -> str:
    """A kept sheet as it is printed now: for the technician, or for the customer and the shop."""
    return text_form(sheets(SHEETS[name](), DATE), KEPT[name])


@pytest.mark.parametrize("name", KEPT)
def test_a_sheet_reads_as_it_was_kept(name: str) -> None:
    assert printed(name) == (FOLDER / f"{name}.txt").read_text(encoding="utf-8")


def test_every_kept_sheet_is_compared() -> None:
    assert {path.stem for path in FOLDER.glob("*.txt")} == set(KEPT)


def write() -> None:
    """Write every sheet anew."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name in KEPT:
        (FOLDER / f"{name}.txt").write_text(printed(name), encoding="utf-8")


if __name__ == "__main__":
    write()

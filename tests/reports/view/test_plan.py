"""The maintenance plan against hand-worked dates, mass balances and scipy's Weibull; what is missing is named."""

from __future__ import annotations

import datetime
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import weibull_min

from engine.session.journal import Event
from reports.document import Heading
from reports.sheets.technician import technician_sheet
from reports.view import job_view
from reports.view.model import Amount
from tests.reports.jobs import AT, DATE, answers, job, opened
from tests.shipped import as_if_shipped

UNIT = as_if_shipped().knowledge.units["default"]
CLEANING, STORM, COLD, WEAR = range(4)


def plan(*events: Event, **read: float | str) -> list[Amount]:
    seen = job_view(job(*opened("field", "flow-fault"), *answers(**read), *events), DATE)
    return [line.amount for line in seen.plan]


def test_the_next_cleaning_counts_from_the_last() -> None:
    """Common practice, no source: 300 to 400 ppm of calcium, every three months; two of them have passed."""
    cleaning = plan(hardness=350.0, months_since_clean=2.0)[CLEANING]
    found = re.search(r"next on (\d+ \w+ \d+)", cleaning.text)
    assert found is not None
    days = (datetime.datetime.strptime(found[1], "%d %B %Y").date() - datetime.date.fromisoformat(DATE)).days
    assert days == pytest.approx(365.25 / 12, abs=1)
    assert "every 3 months" in cleaning.text
    assert "350 ppm" in cleaning.working
    assert "due now" in plan(hardness=350.0, months_since_clean=4.0)[CLEANING].text


def test_scaling_water_is_cleaned_oftener() -> None:
    """Common practice, no source. The water is that of a published model: PHREEQC gives +0.48 (phreeqc.dat)."""
    water = {"ph": 7.8, "water_temp": 28.0, "alkalinity": 120.0, "stabiliser": 0.0, "tested_salt": 3500.0}
    scaling = plan(hardness=400.0, **water)[CLEANING]
    assert scaling.text == "every 2 months"
    assert "scaling index +0.5" in scaling.working
    assert plan(hardness=400.0)[CLEANING].text == "every 3 months"
    assert "Still to be tested, for the saturation index: pH, alkalinity" in plan(hardness=400.0)[CLEANING].working


def test_a_cleaning_of_today_is_the_last_one() -> None:
    done = [
        Event("repaired", AT, about="acid_clean", value="done"),
        Event("verified", AT, about="acid_clean", value="helped"),
    ]
    assert "next on 3 August 2026" in plan(*done, hardness=350.0, months_since_clean=9.0)[CLEANING].text


def test_cleaning_says_what_it_lacks() -> None:
    assert plan(cell_age_years=2.0)[CLEANING].missing == ("a calcium hardness test",)
    assert plan(hardness=350.0)[CLEANING].missing == ("when the cell was last cleaned (for the date)",)
    (nothing,) = plan()
    assert len(nothing.missing) == 3


def test_a_strong_day_is_a_day_unless_it_would_overshoot() -> None:
    """20 g/h x 24 h = 480 g: 8 ppm in 60 m3; in 20 m3 ten ppm are 200 g, 10 h (mass balance)."""
    large = plan(pool_volume=60.0, rated_output=20.0)[STORM]
    assert large.text.startswith("24 h at full output")
    assert "480 g, 8 ppm in 60 m³" in large.working
    assert plan(pool_volume=20.0, rated_output=20.0)[STORM].text.startswith("10 h at full output")
    assert "how much water" in plan(hardness=300.0)[STORM].missing[0]
    assert "due now" in plan(pool_volume=60.0, bather_load="heavy_or_storm")[STORM].text


def test_a_cold_season_has_its_limit_setting_and_less_current() -> None:
    """Half of 2.2 ppm a day at 15 degC (common practice, no source): 60 m3 use 66 g, 25 % of 40 g/h in 8 h.

    PSS-78 (UNESCO Tech. Pap. Mar. Sci. 44, by gsw): 15 degC carries .803 of what 25 degC carries at 3.5.
    """
    cold = plan(pool_volume=60.0, rated_output=40.0, run_hours=8.0, tested_salt=3500.0)[COLD]
    assert f"{UNIT.values['lockout']:.0f} °C" in cold.text
    assert "about 25 % for 8 h a day" in cold.working
    assert "about 20 % less current" in cold.working
    assert "daily hours" in plan(pool_volume=60.0)[COLD].missing[0]


@given(st.floats(0.5, 12), st.floats(2, 24), st.floats(10, 100))
def test_wear_is_that_of_scipys_weibull(age_years: float, hours: float, setting: float) -> None:
    """Shape 3 is judgement; the season of three quarters and the unit's life are said on the sheet."""
    wear = plan(cell_age_years=age_years, run_hours=hours, output_setting=setting)[WEAR]
    year_h = 365.25 * 0.75 * hours * setting / 100
    life = weibull_min(3, scale=UNIT.values["electrode_hours"])
    run_h = age_years * year_h
    further = (life.isf(0.5 * life.sf(run_h)) - run_h) / year_h
    shown = re.search(r"half of such cells(?: wear out)? within (\d+) (month|year)", wear.text)
    if life.sf(run_h) > 1e-12:
        assert shown is not None
        assert int(shown[1]) / (12 if shown[2] == "month" else 1) == pytest.approx(max(further, 1 / 12), abs=0.51)


def test_wear_says_what_it_takes_as_usual_and_what_it_lacks() -> None:
    assert "Assumed: 8 h a day, output 65 % and 9 months of use a year" in plan(cell_age_years=4.0)[WEAR].working
    assert plan(hardness=300.0)[WEAR].missing == ("the age of the cell",)


def test_the_plan_stands_on_the_technicians_sheet_after_the_return() -> None:
    blocks = technician_sheet(job_view(job(*opened("field", "no-output")), DATE), annex=True).blocks
    headings = [block.text for block in blocks if isinstance(block, Heading)]
    places = [headings.index(text) for text in ("Return", "Maintenance plan", "Licensed trades and local code")]
    assert places == sorted(places)


def test_a_danger_leaves_the_plan_out() -> None:
    danger = job(*opened("field", "no-output"), *answers(danger_now="tingle", pool_volume=50.0))
    assert job_view(danger, DATE).plan == ()


def test_what_the_work_on_the_sheet_renews_counts_from_it() -> None:
    scale: dict[str, float | str] = {
        "tested_salt": 3400.0,
        "unit_salt": 2400.0,
        "cell_plates": "white_scale",
        "hardness": 350.0,
    }
    seen = job_view(job(*opened("field", "low-salt"), *answers(**scale)), DATE)
    assert seen.actions[0].repair == "acid_clean"
    assert seen.plan[CLEANING].amount.text == "every 3 months; next on 3 August 2026, if the work is done today"


@given(st.floats(0.0, 1e-3))
def test_a_cell_that_hardly_runs_has_no_life_to_be_told(hours: float) -> None:
    wear = plan(run_hours=hours, output_setting=50.0, cell_age_years=3.0)[WEAR]
    assert wear.missing
    assert not any(char.isdigit() for char in wear.text)

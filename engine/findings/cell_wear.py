"""Hours that the cell has made chlorine over those that such cells give: age, hours a day, setting and season."""

from __future__ import annotations

import math

from engine.findings.readings import Readings, Weights, relative_sd

SEASON_SHARE = 0.75
"""Share of the year in which a cell works: common practice, no source."""
SEASON_LOG_SD = 0.3
"""How far that differs between climates, half the year to all of it: judgement."""


def production_hours(age_years: float, hours_day: float, setting_percent: float) -> float:
    """Hours in which a cell of this age made chlorine, for pump hours a day up to 24 and a setting up to 100 %.

    Source: arithmetic; the season share is common practice, no source.
    """
    return age_years * 365.25 * SEASON_SHARE * min(hours_day, 24.0) * min(setting_percent, 100.0) / 100.0


def _hours(read: Readings) -> float:
    return production_hours(*(read.of(name)[0] for name in ("cell_age_years", "run_hours", "output_setting")))


def weights(read: Readings) -> Weights | None:
    """The share of the unit's life in its bands; None while the age or the hours a day are missing."""
    if not read.have("cell_age_years", "run_hours"):
        return None
    age, hours, setting = (read.of(name) for name in ("cell_age_years", "run_hours", "output_setting"))
    share = _hours(read) / read.unit.values["electrode_hours"]
    spread = math.hypot(relative_sd((max(age[0], 0.1), age[1]), (max(hours[0], 0.5), hours[1])), setting[1] / 100.0)
    return read.in_bands(share, share * math.hypot(spread, SEASON_LOG_SD) + 0.02)


def figure(read: Readings) -> dict[str, float]:
    """`hours` run and the hours of a `life`."""
    if not read.have("cell_age_years", "run_hours"):
        return {}
    return {"hours": _hours(read), "life": read.unit.values["electrode_hours"]}

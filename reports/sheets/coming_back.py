"""The day by which a customer comes back or calls, as the papers say it."""

from __future__ import annotations

import datetime
import re

from reports.view.model import JobView

CALL_WITHIN_DAYS = 7
"""By then the shop wants to hear where the customer does something at home and no other day is told: judgement."""
_DAY = re.compile(r"(?<![0-9])[0-9]{4}-[0-9]{2}-[0-9]{2}(?![0-9])")


def day_to_come_back(view: JobView) -> datetime.date | None:
    """The first day that is told for coming back, testing again or calling; None where none is told."""
    today = _date(view.head.date[:10])
    told = [*view.advice.come_back, *(line.text for line in view.waiting)]
    days = [day for line in told for found in _DAY.findall(line) if (day := _date(found)) is not None]
    if coming := [day for day in days if today is None or day >= today]:
        return min(coming)
    if today is None or view.home.work == "none" or view.keep_away:
        return None
    try:
        return today + datetime.timedelta(days=CALL_WITHIN_DAYS)
    except OverflowError:
        return None


def _date(text: str) -> datetime.date | None:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        return None

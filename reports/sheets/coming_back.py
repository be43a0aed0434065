"""The day by which a customer comes back or calls, as the papers say it."""

from __future__ import annotations

import datetime
import re

from engine.session.decisions import NOT_YET
from reports.view.model import JobView

_CALL_WITHIN_DAYS = 7
"""By then the shop wants to hear where the customer does something at home and no other day is told: judgement."""
_SAYS_WHEN = ("check_at_home", "bring_sample", "look_and_call")
"""Decisions whose own words say when to call."""
_DAY = re.compile(r"(?<![0-9])[0-9]{4}-[0-9]{2}-[0-9]{2}(?![0-9])")
"""A date as somebody typed it, when something is put off."""


def day_to_come_back(view: JobView) -> datetime.date | None:
    """The first day that is told for coming back, testing again or calling; None where none is told."""
    today = _date(view.head.date[:10])
    told = [*view.advice.days, *(day for line in view.waiting for day in _DAY.findall(line.when))]
    days = [day for text in told if (day := _date(text)) is not None]
    return min((day for day in days if today is None or day >= today), default=call_by(view))


def call_by(view: JobView) -> datetime.date | None:
    """The day by which the shop wants to hear, where no other day is told; None where the sheet bears no date."""
    today, decision = _date(view.head.date[:10]), view.decision.decision
    ours = view.home.work in ("none", "leave") and decision not in NOT_YET
    if today is None or ours or decision in _SAYS_WHEN or view.keep_away or view.advice.days:
        return None
    try:
        return today + datetime.timedelta(days=_CALL_WITHIN_DAYS)
    except OverflowError:
        return None


def _date(text: str) -> datetime.date | None:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        return None

"""Dangers on a sheet: what stands, what is done first, and what became of each that was ever reported."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, tzinfo
from itertools import zip_longest

from engine.foundation.plain_text import cleaned
from engine.foundation.texts import say
from engine.session.danger import Report, withdrawn
from reports.phrases import sentence
from reports.view.case import JobCase


def danger_said(case: JobCase) -> str:
    """The dangers that stand, or what is asked first where nobody has looked for any; empty where there is none."""
    if standing := case.job.standing:
        return " ".join(_named(case, report) for report in standing)
    job = case.job
    if job.danger_unsaid or job.danger_unlooked or not (job.danger_said or job.reports):
        return say(f"view_advice.danger_open.{case.reader}")
    return ""


def danger_first(case: JobCase) -> tuple[str, ...]:
    """What is done first in the dangers that stand, each step once: the first of each, then the second of each."""
    each = [
        case.knowledge.dangers[report.danger].steps.for_role(case.voice, case.units) for report in case.job.standing
    ]
    return tuple(dict.fromkeys(step for at in zip_longest(*each) for step in at if step is not None))


def cleared_by(case: JobCase) -> tuple[str, ...]:
    """Who has to have cleared the dangers that stand before anybody goes on, by their kinds; none where none does."""
    kinds = dict.fromkeys(case.knowledge.dangers[report.danger].kind for report in case.job.standing)
    return tuple(say(f"view_dangers.back.{kind}.{case.reader}") for kind in kinds)


def danger_record(case: JobCase) -> tuple[str, ...]:
    """What became of every danger that was reported, as it was found."""
    return tuple(_record(case))


def _record(case: JobCase) -> Iterator[str]:
    for report in case.job.reports:
        if report.cleared is not None:
            who = say(f"view_dangers.who.{report.cleared.by}")
            over = {"when": shown_time(report.cleared.at), "who": who, "how": sentence(cleaned(report.cleared.how))}
            yield say("view_dangers.record.cleared", danger=_named(case, report), at=shown_time(report.at), **over)
        elif report.made_safe:
            yield _told(case, report, "made_safe", when=shown_time(report.made_safe))
        else:
            yield _told(case, report, "not_safe")
    for report in withdrawn(case.session.events, case.knowledge, case.job.reports):
        yield _told(case, report, "withdrawn")


def _told(case: JobCase, report: Report, what: str, **more: str) -> str:
    return say(f"view_dangers.record.{what}", danger=_named(case, report), at=shown_time(report.at), **more)


def _named(case: JobCase, report: Report) -> str:
    return case.say(case.knowledge.dangers[report.danger].wording)


def shown_time(at: str, zone: tzinfo | None = None) -> str:
    """A time of an event as a sheet shows it: day, hour and minute on the clocks here, and how far those are from UTC.

    Args: the time, and the zone of the clocks, by default that of this machine.

    Events are kept in UTC, and stay so in JSON. What is no time stands as it was kept.
    """
    try:
        kept = datetime.fromisoformat(at)
        here = (kept if kept.tzinfo else kept.replace(tzinfo=UTC)).astimezone(zone)
    except (ValueError, OverflowError, OSError):
        return cleaned(at)
    return say("view_dangers.time", day=here.strftime("%Y-%m-%d"), hour=here.strftime("%H:%M"), zone=_zone(here))


def _zone(here: datetime) -> str:
    """The clocks' distance from UTC; their name differs from system to system, and two countries share one."""
    minutes = round((here.utcoffset() or timedelta()).total_seconds() / 60)
    hours, rest = divmod(abs(minutes), 60)
    distance = f"{'-' if minutes < 0 else '+'}{hours}{f':{rest:02}' if rest else ''}"
    return f"UTC{distance if minutes else ''}"

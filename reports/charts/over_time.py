"""A pool's readings over time: for each check a strip of its own, a mark a visit, the first and last told."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from engine.foundation.texts import say
from reports.charts.canvas import FAINT, LEAST, MAIN, WIDTH, Canvas
from reports.document import Picture

_LEFT, _RIGHT = 14.0, WIDTH - 14.0
_STRIP, _HEAD, _GAP = 46.0, 20.0, 14.0


@dataclass(frozen=True)
class Strip:
    """One check over time: its name, and each reading with its day, as a number and in words, the oldest first."""

    name: str
    readings: tuple[tuple[datetime.date, float, str], ...]


def over_time_picture(title: str, strips: Sequence[Strip]) -> Picture | None:
    """The strips below one another on one axis of days; None where none has two readings."""
    drawn = [strip for strip in strips if len(strip.readings) > 1]
    if not drawn:
        return None
    canvas = Canvas()
    days = [day for strip in drawn for day, _, _ in strip.readings]
    first, last = min(days), max(days)
    y = canvas.paragraph(_LEFT, 6.0, title, _RIGHT - _LEFT, bold=True) + _GAP
    for strip in drawn:
        y = _strip(canvas, strip, y, first, last)
    canvas.text(_LEFT, y + LEAST, first.isoformat())
    canvas.text(_RIGHT, y + LEAST, last.isoformat(), anchor="end")
    words = tuple(_told(strip) for strip in drawn)
    return Picture(title, canvas.svg(y + LEAST + 8.0, title, words), words)


def _strip(canvas: Canvas, strip: Strip, top: float, first: datetime.date, last: datetime.date) -> float:
    """Draw one check; where it ends."""
    numbers = [number for _, number, _ in strip.readings]
    least, span = min(numbers), (max(numbers) - min(numbers)) or 1.0
    flat = max(numbers) == min(numbers)
    long = max((last - first).days, 1)
    canvas.text(_LEFT, top + LEAST, strip.name)
    canvas.text(_RIGHT, top + LEAST, f"{strip.readings[0][2]} → {strip.readings[-1][2]}", anchor="end", bold=True)
    below = top + _HEAD + _STRIP
    canvas.line([(_LEFT, below), (_RIGHT, below)], FAINT, 0.8)
    points = []
    for day, number, _ in strip.readings:
        x = _LEFT + (_RIGHT - _LEFT) * (day - first).days / long
        height = 0.5 if flat else (number - least) / span
        points.append((x, below - 4.0 - height * (_STRIP - 8.0)))
    canvas.line(points, MAIN, 2.0)
    for x, y in points:
        canvas.disc(x, y, 3.0, MAIN, MAIN)
    return below + _GAP


def _told(strip: Strip) -> str:
    read = "; ".join(say("store.pool.read_on", value=words, day=day.isoformat()) for day, _, words in strip.readings)
    return f"{strip.name}: {read}."

"""Readings on their ranges: bands of equal width, their limits in figures, the readings as marks with numbers."""

from __future__ import annotations

import itertools

from engine.foundation.texts import say
from reports.charts.canvas import INK, LEAST, MAIN, PAPER, WIDTH, Canvas
from reports.charts.lettering import LINE, lines_in, width_of
from reports.document import Picture
from reports.view import JobView
from reports.view.drawn import GaugeBand, GaugeLine, GaugeReading

_EDGE = 8.0
_WIDE = WIDTH - 2 * _EDGE
_STRIP = 12.0
_OPEN_END = 0.5
"""How far beyond its last limit an open band reaches at most, as a share of that limit."""


def ranges_picture(view: JobView) -> Picture | None:
    """Salt and chlorine readings on their ranges; None where there is no such reading."""
    if not view.gauges:
        return None
    canvas = Canvas()
    y = _EDGE
    words: list[str] = []
    for gauge in view.gauges:
        y = _gauge(canvas, gauge, y) + 14.0
        words += _told(gauge)
    title = say("pictures.ranges.title")
    return Picture(title, canvas.svg(y - 4.0, title, words), tuple(words))


def _gauge(canvas: Canvas, gauge: GaugeLine, y: float) -> float:
    """Draw one gauge from y down; gives where it ends."""
    y = canvas.paragraph(_EDGE, y, _name(gauge), _WIDE, LEAST + 1.0, bold=True) + 4.0
    for reading in gauge.readings:
        # Each reading has a line of its own above the strip, so that two numbers close together never meet.
        y = _number(canvas, gauge, reading, y)
    strip = y + 12.0
    for reading in gauge.readings:
        own = reading.source == "unit"
        _mark(canvas, _x(gauge, reading.value), strip + _STRIP if own else strip, own)
    return _strip(canvas, gauge, strip)


def _number(canvas: Canvas, gauge: GaugeLine, reading: GaugeReading, y: float) -> float:
    """The reading in figures, over its mark or as near as the edges let it, behind the same mark; gives its end."""
    lines = lines_in(_said(reading), _WIDE - 14.0, LEAST)
    half = max(width_of(line, LEAST) for line in lines) / 2
    left = min(max(_x(gauge, reading.value), _EDGE + half + 14.0), WIDTH - _EDGE - half) - half
    own = reading.source == "unit"
    _mark(canvas, left - 8.0, y + (1.0 if own else LEAST - 1.0), own)
    for row, line in enumerate(lines):
        canvas.text(left, y + LEAST * (LINE * row + 1.0) - 1.0, line, LEAST, bold=True)
    return y + LEAST * LINE * len(lines)


def _mark(canvas: Canvas, x: float, y: float, own: bool) -> None:
    """A mark with its tip at this place: full and from above for a test, empty and from below for the unit's own."""
    reach = 8.0 if own else -8.0
    canvas.shape([(x, y), (x - 5.0, y + reach), (x + 5.0, y + reach)], PAPER if own else MAIN, MAIN, 1.2)


def _strip(canvas: Canvas, gauge: GaugeLine, y: float) -> float:
    """The bands side by side with their words and limits; gives where they end."""
    each = _WIDE / len(gauge.bands)
    held = {reading.band for reading in gauge.readings}
    foot = y + _STRIP
    # The unit's own mark points up at the strip from below; there the figures make room for it.
    figures_at = foot + (12.0 if any(reading.source == "unit" for reading in gauge.readings) else 4.0)
    for place, band in enumerate(gauge.bands):
        left = _EDGE + place * each
        canvas.box(left, y, each, _STRIP, PAPER, INK, 1.0)
        if band.band in held:
            canvas.line([(left + 2.0, y + _STRIP / 2), (left + each - 2.0, y + _STRIP / 2)], INK, 4.0, "2 2")
    for place, band in enumerate(gauge.bands[:-1]):
        x = _EDGE + (place + 1) * each
        canvas.line([(x, y), (x, figures_at)], INK)
        for row, line in enumerate(lines_in(band.high_text, each - 6.0, LEAST)):
            canvas.text(x, figures_at + 1.0 + LEAST * (LINE * row + 1.0), line, LEAST, "middle")
    figures = max((len(lines_in(band.high_text, each - 6.0, LEAST)) for band in gauge.bands), default=0)
    below = figures_at + 4.0 + LEAST * LINE * figures
    ends = [below]
    for place, band in enumerate(gauge.bands):
        middle = _EDGE + (place + 0.5) * each
        ends.append(canvas.paragraph(middle, below, band.text, each - 6.0, LEAST, "middle", bold=band.band in held))
    return max(ends)


def _x(gauge: GaugeLine, value: float) -> float:
    """Where a value lies: its share of the way through its band, each band being drawn as wide as the next."""
    each = _WIDE / len(gauge.bands)
    limits = [band.high for band in gauge.bands if band.high is not None]
    if not limits:
        return _EDGE + _WIDE / 2
    inner = [0.0 if limits[0] > 0 else limits[0] - 1.0, *limits, max(limits[-1] * (1.0 + _OPEN_END), limits[-1] + 1.0)]
    for place, (low, high) in enumerate(itertools.pairwise(inner)):
        if value < high or place == len(limits):
            share = min(max((value - low) / (high - low), 0.02), 0.98)
            return _EDGE + (place + share) * each
    return _EDGE + _WIDE


def _said(reading: GaugeReading) -> str:
    return say("pictures.ranges.reading", source=_source(reading), value=reading.text)


def _name(gauge: GaugeLine) -> str:
    return say(f"pictures.ranges.names.{gauge.gauge}")


def _source(reading: GaugeReading) -> str:
    return say(f"pictures.ranges.sources.{reading.source}")


def _told(gauge: GaugeLine) -> list[str]:
    told = [
        say("pictures.ranges.told", name=_name(gauge), source=_source(r), value=r.text, verdict=r.verdict)
        for r in gauge.readings
    ]
    bands = "; ".join(_band(band) for band in gauge.bands)
    return [*told, say("pictures.ranges.bands_told", bands=bands)]


def _band(band: GaugeBand) -> str:
    if band.low is None:
        return say("pictures.ranges.band_under", words=band.text, high=band.high_text)
    if band.high is None:
        return say("pictures.ranges.band_from", words=band.text, low=band.low_text)
    return say("pictures.ranges.band_between", words=band.text, low=band.low_text, high=band.high_text)

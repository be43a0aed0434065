"""Readings on their ranges: salt and free chlorine against this unit's bands, and its own figure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from engine.findings.readings import band_weights
from engine.knowledge.model import Band, Check, Knowledge
from reports.view.case import JobCase
from reports.view.drawn import GaugeBand, GaugeLine, GaugeReading
from reports.view.found import answer_said, number_verdict


def gauge_lines(case: JobCase) -> tuple[GaugeLine, ...]:
    """A gauge for each quantity that was read."""
    lines = []
    for gauge, members in _gauges(case.knowledge).items():
        checks = [(check, source) for name, source in members if (check := case.check(name)) is not None]
        read = [(check, source) for check, source in checks if check.id in case.numbers and check.bands]
        if read:
            readings = tuple(_reading(case, check, source) for check, source in read)
            lines.append(GaugeLine(gauge, _bands(case, read[0][0]), readings))
    return tuple(lines)


def _gauges(knowledge: Knowledge) -> Mapping[str, Sequence[tuple[str, str]]]:
    """The checks that share a gauge, by whose reading each is; the first one that was read gives it its bands."""
    chlorine = [(check.id, "test") for check in knowledge.checks_telling("free_chlorine")]
    return {"salt": (("tested_salt", "test"), ("unit_salt", "unit")), "chlorine": chlorine}


def _bands(case: JobCase, check: Check) -> tuple[GaugeBand, ...]:
    words = {answer.id: case.say(answer.wording) for answer in check.answers}
    ends = [_end(case, band) for band in check.bands]
    starts = [None, *ends[:-1]]
    return tuple(
        GaugeBand(band.id, words[band.id], low, high, _figure(case, check, low), _figure(case, check, high))
        for band, low, high in zip(check.bands, starts, ends, strict=True)
    )


def _end(case: JobCase, band: Band) -> float | None:
    return None if band.under is None else band.under.value(case.unit)


def _figure(case: JobCase, check: Check, value: float | None) -> str:
    return "" if value is None else answer_said(case, check, value)


def _reading(case: JobCase, check: Check, source: str) -> GaugeReading:
    value = case.numbers[check.id]
    order = [answer.id for answer in check.answers]
    error = check.error.of(value) if check.error is not None else 0.0
    weights = band_weights(check.bands, order, case.unit, value, error)
    best = order[max(range(len(order)), key=lambda place: weights[place])]
    return GaugeReading(source, value, answer_said(case, check, value), best, number_verdict(case, check, value))

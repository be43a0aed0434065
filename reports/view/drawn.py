"""What a sheet draws, as frozen records: how the ranking moved, and readings on their gauges."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class MovementLine:
    """A leading cause, and its probability at the start and after each step."""

    cause: str
    text: str
    probabilities: tuple[float, ...]


@dataclass(frozen=True)
class Movement:
    """How the ranking moved: the answers that moved it, in order, each in short, and the leading causes.

    `left_out` counts moving answers before the first of `steps`, where there were too many.
    """

    steps: tuple[str, ...]
    lines: tuple[MovementLine, ...]
    left_out: int


@dataclass(frozen=True)
class GaugeBand:
    """A band of a reading: its words, and where it begins and ends, None at an open end; as text too."""

    band: str
    text: str
    low: float | None
    high: float | None
    low_text: str
    high_text: str


@dataclass(frozen=True)
class GaugeReading:
    """One reading on a gauge: whose it is (`test`, or `unit` for the unit's own figure), its number, band and words."""

    source: str
    value: float
    text: str
    band: str
    verdict: str


@dataclass(frozen=True)
class GaugeLine:
    """Readings of one quantity, `salt` or `chlorine`, against the bands of this unit profile, the lowest first."""

    gauge: str
    bands: tuple[GaugeBand, ...]
    readings: tuple[GaugeReading, ...]

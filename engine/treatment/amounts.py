"""What an amount can be where it is no figure: not known yet, beyond the formula, or not needed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from engine.treatment.readings import PoolReadings

Lack = Literal[
    "volume",
    "volume_doubted",
    "salt",
    "stabiliser",
    "ph",
    "alkalinity",
    "hardness",
    "chlorine",
    "cell_age",
    "hours",
    "hours_and_setting",
    "too_high",
    "test_doubted",
    "test_after_swap",
    "ph_after_alkalinity",
    "ph_after_air",
    "label",
    "acid",
    "to_change",
    "last_clean",
]
"""What may be missing for an amount."""
Sort = Literal["dose", "answer", "ph", "soda_ash", "mix", "swap", "size", "balance", "chlorine_out"]
"""What it is that could not be worked out."""


@dataclass(frozen=True)
class NotYet:
    """An amount that waits for what is missing."""

    missing: tuple[Lack, ...]
    of: Sort = "dose"


@dataclass(frozen=True)
class Outside:
    """No amount, as a reading lies outside what its formula holds for."""

    of: Sort = "dose"


@dataclass(frozen=True)
class Enough:
    """Nothing is needed: the test shows `now`, and `target` is wanted, where that is told; both in `unit`."""

    now: float
    target: float | None = None
    unit: str = "ppm"


def volume_lack(readings: PoolReadings) -> tuple[Lack, ...]:
    """The pool's volume, where nobody said it, or said one that is doubted."""
    if readings.volume_m3:
        return ()
    return ("volume_doubted",) if readings.volume_is_doubted else ("volume",)

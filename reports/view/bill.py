"""The record of a job and what is billed of it, as frozen records: whose pool, visits, times, parts used."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Visit:
    """One stretch of work on the job, by the times of its events: when it began and ended, and its minutes."""

    begun: str
    ended: str
    minutes: int


@dataclass(frozen=True)
class UsedPart:
    """A part that a done repair took, or that was recorded by hand.

    `quantity` is in `unit`, empty for pieces, and None where nobody knows how much it was; `price` is the part's class.
    """

    part: str
    name: str
    quantity: float | None
    unit: str
    text: str
    price: str


@dataclass(frozen=True)
class Record:
    """Whose job it is, when somebody was there, and what is billed; a text nobody gave is empty, minutes are None."""

    customer: str = ""
    telephone: str = ""
    site: str = ""
    serial: str = ""
    visits: tuple[Visit, ...] = ()
    labour: float | None = None
    travel: float | None = None
    photos: tuple[str, ...] = ()
    parts: tuple[UsedPart, ...] = ()


@dataclass(frozen=True)
class Bill:
    """A job as it is billed: its id, the day of its sheet (ISO 8601), its record, and whether any work was done."""

    job: str
    date: str
    record: Record
    worked: bool

"""Which events of a job stand once some were taken back."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from engine.session.journal import RECORDED, Event

TAKEN_BACK_KINDS = (
    "answered",
    "corrected",
    "dont_know",
    "cant",
    "deferred",
    "lifted",
    "already_tried",
    "repaired",
    "verified",
    "part_found",
    "danger_reported",
    "danger_cleared",
    "closed",
    "handed_on",
)
"""What going back undoes, beside the last note where it says so; switching the supply stays, as it happened."""


NOTED: Final = "noted"
"""The kind of a note, and what a `taken_back` says that undoes one: before, none did."""


def effective(events: Iterable[Event]) -> list[Event]:
    """The events that stand: each `taken_back` undoes the last answer or outcome before it, the last note or record."""
    standing: list[Event] = []
    for event in events:
        if event.kind != "taken_back":
            standing.append(event)
            continue
        undone = (str(event.value),) if event.value in (NOTED, RECORDED) else TAKEN_BACK_KINDS
        for place in range(len(standing) - 1, -1, -1):
            if standing[place].kind in undone:
                del standing[place]
                break
    return standing

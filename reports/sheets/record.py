"""The record of a job as papers and the command show it: labels with their values, and the parts used."""

from __future__ import annotations

from collections.abc import Iterator

from engine.foundation.texts import say
from engine.quantities.quantity import show_quantity
from reports.phrases import joined
from reports.view.bill import Record, UsedPart
from reports.view.dangers import shown_time


def record_lines(record: Record) -> tuple[tuple[str, str], ...]:
    """Whose job it is, visits, times, photos and parts, what is known of it."""
    return (*whose(record), *times(record), *((_name("part"), part_used(part)) for part in record.parts))


def whose(record: Record) -> Iterator[tuple[str, str]]:
    """Customer, telephone, site and serial number, where they were recorded."""
    for name in ("customer", "telephone", "site", "serial"):
        if value := getattr(record, name):
            yield _name(name), value


def times(record: Record) -> Iterator[tuple[str, str]]:
    """Visits, labour, travel and the names of photos."""
    visits = [
        say("recording.visit", begun=shown_time(each.begun), ended=shown_time(each.ended), minutes=each.minutes)
        for each in record.visits
    ]
    if visits:
        yield _name("visits"), "; ".join(visits)
    for name, minutes in (("labour", record.labour), ("travel", record.travel)):
        if minutes is not None:
            yield _name(name), show_quantity(minutes, "min")
    if record.photos:
        yield _name("photo"), joined(record.photos)


def part_used(part: UsedPart) -> str:
    """A part that was used, how much, and its price class."""
    return say("recording.used", part=part.name, amount=part.text, price=say(f"recording.prices.{part.price}"))


def part_taken(part: UsedPart) -> str:
    """A part that was used, and how much: what the owner signs names no class of price."""
    return say("recording.used_plain", part=part.name, amount=part.text)


def _name(field: str) -> str:
    return say(f"recording.names.{field}")

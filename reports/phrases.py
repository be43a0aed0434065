"""Words for figures and ids on a sheet, each asked for in one place: chances, weights of evidence, who, where, when."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from engine.foundation.texts import said, say
from engine.knowledge.model import Repair, ResultShows, RoleId
from engine.knowledge.properties import PartAmount
from engine.quantities.quantity import figure
from engine.quantities.unit_systems import System, show_in
from engine.quantities.units import UNITS

Reader = Literal["customer", "technician"]
"""Whose wording a text has: its keys end in one of these."""

_CHANCES: tuple[tuple[float, str], ...] = (
    (0.95, "nearly_certain"),
    (0.80, "very_likely"),
    (0.60, "likely"),
    (0.40, "about_even"),
    (0.20, "possible"),
    (0.05, "unlikely"),
    (0.0, "very_unlikely"),
)
"""The least probability that each phrase stands for: judgement."""

_WEIGHTS: tuple[tuple[float, str], ...] = ((10.0, "strongly"), (5.0, "clearly"), (0.0, "a_little"))
"""The least decibans, either way, that each word stands for; ten make a cause ten times as likely in odds."""

_DAYS: Mapping[ResultShows, int] = {"at once": 0, "next day": 1, "next week": 7}


def chance_in_words(probability: float) -> str:
    """A probability, 0 to 1, in words: `nearly certain` from .95 down to `very unlikely` under .05."""
    phrase = next(name for least, name in _CHANCES if probability >= least)
    return say(f"view.chances.{phrase}")


def percent(probability: float) -> str:
    """A probability, 0 to 1, in whole per cent; nothing uncertain is ever shown as 0 or 100."""
    whole = round(100 * probability)
    if whole >= 100:
        return say("view.percent.over", number="99")
    return say("view.percent.under", number="1") if whole < 1 else say("view.percent.whole", number=whole)


def weight_in_words(decibans: float) -> str:
    """How much a finding speaks for or against a cause, by its decibans without the sign."""
    word = next(name for least, name in _WEIGHTS if abs(decibans) >= least)
    return say(f"view.weights.{word}")


def joined(items: Iterable[str], last: str = "") -> str:
    """A list in a sentence: `a`, `a and b`, `a, b and c`; `last` is another word than the language's `and`."""
    before, after = _parted(items)
    if not before:
        return after
    if last:
        return say("view.lists.other", before=before, word=last, last=after)
    return say("view.lists.and", before=before, last=after)


def either(items: Iterable[str]) -> str:
    """A choice in a sentence: `a`, `a or b`, `a, b or c`."""
    before, after = _parted(items)
    return say("view.lists.or", before=before, last=after) if before else after


def _parted(items: Iterable[str]) -> tuple[str, str]:
    """All but the last of a list, with commas between them, and the last."""
    words = list(items)
    before = words[0] if len(words) > 1 else ""
    for word in words[1:-1]:
        before = say("view.lists.comma", before=before, next=word)
    return before, words[-1] if words else ""


def lowered(text: str) -> str:
    """A label as it stands inside a sentence: small first letter, unless it is a word such as DC, pH or O-ring."""
    return text[:1].lower() + text[1:] if text[1:2].islower() else text


def reader_of(voice: RoleId) -> Reader:
    """Whose wording is told: the technician's in the field, the customer's, plainer, everywhere else."""
    return "technician" if voice == "field" else "customer"


def who_may(who: str, reader: Reader) -> str:
    """Who may do a piece of work, one of `engine.knowledge.model.Who`, where the local code lets them."""
    return say(f"view.who.{who}.{reader}")


def brought_thing(thing: str) -> str:
    """What a customer may bring to the counter, in words."""
    return said("view.brought").get(thing, thing)


def sentence(text: str) -> str:
    """The text with a capital at its start, unless that is `pH` or the like, and a full stop at its end."""
    bare = text.strip()
    begun = bare if bare[1:2].isupper() else bare[:1].upper() + bare[1:]
    return begun + ("" if not bare or bare[-1] in ".?!:" else ".")


def first_sentence(text: str) -> str:
    """The first sentence of a text."""
    return re.split(r"(?<=[.!?])\s", text.strip(), maxsplit=1)[0]


def date_after(date: str, days: int) -> str:
    """The date so many days later, ISO 8601; empty where `date` does not begin with an ISO 8601 date."""
    try:
        return str(datetime.date.fromisoformat(date[:10]) + datetime.timedelta(days=days))
    except (ValueError, OverflowError):
        return ""


def day_in_words(date: str, *, soon: bool = False) -> str:
    """An ISO 8601 date as a sentence says it: `7 December 2026`; what is no such date stands as it is.

    `soon`: it is at most weeks from the date of the paper, so that the year is left out.
    """
    try:
        day = datetime.date.fromisoformat(date[:10])
    except ValueError:
        return date
    month = say(f"view.calendar.months.{day.month}")
    return say(f"view.calendar.{'soon' if soon else 'day'}", day=day.day, month=month, year=day.year)


def day_it_shows(result: ResultShows, date: str, days: int = 0) -> str:
    """The date on which a repair's result shows, ISO 8601; `days`: so many go by at least.

    Empty where it shows at once, or where `date` does not begin with an ISO 8601 date.
    """
    after = max(days, _DAYS[result])
    return date_after(date, after) if after else ""


def when_it_shows(result: ResultShows, date: str, days: int = 0) -> str:
    """When a repair's result shows, with the date where that is not today; `days`: so many go by at least."""
    when = "in_days" if days > _DAYS[result] else result.replace(" ", "_")
    day = day_it_shows(result, date, days)
    if day:
        return say(f"view.shows.{when}.dated", days=days, date=day_in_words(day, soon=True))
    return say(f"view.shows.{when}.plain", days=days)


def amount_in_words(amount: PartAmount, units: System | None = None) -> str:
    """How much of a part, as the knowledge says it: `0.2 L`, `2`, or that it is worked out; in these units."""
    if amount.computed:
        return say("view_amounts.as_computed")
    if amount.unit in UNITS:
        return show_in(amount.value, amount.unit, units)
    return f"{figure(amount.value)} {amount.unit}".strip()


def numbered(steps: Sequence[str]) -> tuple[str, ...]:
    """Steps with their numbers before them."""
    return tuple(f"{number}. {step}" for number, step in enumerate(steps, start=1))


def done_when(repair: Repair, role: RoleId, units: System | None = None) -> str:
    """The sentence that says when a repair is done; empty where this reader is told nothing of it."""
    what = repair.done_when.for_role(role, units)
    return say("view.work.done_when", what=what) if what else ""


def whole_work(repair: Repair, role: RoleId, units: System | None = None) -> str:
    """All of a repair's work in one running text: what is to be known before, the steps, and when it is done."""
    before = repair.before_steps.for_role(role, units)
    parts = (before, *numbered(repair.steps.for_role(role, units)), done_when(repair, role, units))
    return " ".join(part for part in parts if part)

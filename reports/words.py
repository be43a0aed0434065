"""Words for figures and ids on a sheet, each defined once: chances, weights of evidence, who, where, when."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping

from engine.model import ResultShows, RoleId, Wording

__all__ = [
    "BROUGHT",
    "WHO",
    "chance_in_words",
    "day_after",
    "joined",
    "lowered",
    "percent",
    "said_to",
    "sentence",
    "weight_in_words",
    "when_it_shows",
]

_CHANCES: tuple[tuple[float, str], ...] = (
    (0.95, "nearly certain"),
    (0.80, "very likely"),
    (0.60, "likely"),
    (0.40, "about even"),
    (0.20, "possible"),
    (0.05, "unlikely"),
    (0.0, "very unlikely"),
)
"""The least probability that each phrase stands for: judgement."""

_WEIGHTS: tuple[tuple[float, str], ...] = ((10.0, "strongly"), (5.0, "clearly"), (0.0, "a little"))
"""The least decibans, either way, that each word stands for; ten make a cause ten times as likely in odds."""

WHO: Mapping[str, Wording] = {
    "owner": Wording("you, the pool owner", "owner"),
    "technician": Wording("a pool technician", "technician"),
    "electrician": Wording("a licensed electrician", "licensed electrician"),
    "other_trade": Wording("another licensed trade", "other licensed trade"),
}
"""Who may do a piece of work, where the local code lets them."""

BROUGHT: Mapping[str, str] = {"water_sample": "a water sample", "cell": "the cell"}
"""What a customer may bring to the counter."""

_DAYS: Mapping[ResultShows, int] = {"at once": 0, "next day": 1, "next week": 7}


def chance_in_words(probability: float) -> str:
    """A probability, 0 to 1, in words: `nearly certain` from .95 down to `very unlikely` under .05."""
    return next(words for least, words in _CHANCES if probability >= least)


def percent(probability: float) -> str:
    """A probability, 0 to 1, in whole per cent; nothing uncertain is ever shown as 0 or 100."""
    whole = round(100 * probability)
    if whole >= 100:
        return "over 99 %"
    return "under 1 %" if whole < 1 else f"{whole} %"


def weight_in_words(decibans: float) -> str:
    """How much a finding speaks for or against a cause, by its decibans without the sign."""
    return next(words for least, words in _WEIGHTS if abs(decibans) >= least)


def joined(items: Iterable[str], last: str = "and") -> str:
    """A list in a sentence: `a`, `a and b`, `a, b and c`."""
    words = list(items)
    return f" {last} ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


def lowered(text: str) -> str:
    """A label as it stands inside a sentence: small first letter, unless it is a word such as DC, pH or O-ring."""
    return text[:1].lower() + text[1:] if text[1:2].islower() else text


def said_to(voice: RoleId, customer: str, technician: str) -> str:
    """One of two texts: short for the technician in the field, plain for everybody else."""
    return Wording(customer, technician).for_role(voice)


def sentence(text: str) -> str:
    """The text with a capital at its start and a full stop at its end, where it has none."""
    bare = text.strip()
    return bare if not bare else bare[0].upper() + bare[1:] + ("" if bare[-1] in ".?!:" else ".")


def day_after(date: str, days: int) -> str:
    """The date so many days later as ` (2026-05-04)`; empty where `date` does not begin with an ISO 8601 date."""
    try:
        return f" ({datetime.date.fromisoformat(date[:10]) + datetime.timedelta(days=days)})"
    except (ValueError, OverflowError):
        return ""


def when_it_shows(result: ResultShows, date: str) -> str:
    """When a repair's result shows, with the date where that is not today."""
    days = _DAYS[result]
    words = {0: "at once", 1: "the next day", 7: "after a week"}[days]
    return words + (day_after(date, days) if days else "")

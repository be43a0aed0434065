"""What a job came to, in a few lines for one screen: danger, decision, first work, amounts, what to say, cautions."""

from __future__ import annotations

from collections.abc import Iterator

from engine.foundation.texts import say
from reports.phrases import sentence
from reports.view.model import JobView


def in_short(view: JobView) -> tuple[str, ...]:
    """The paragraphs of a job in short; the sheet says all of it."""
    return tuple(_lines(view))


def _lines(view: JobView) -> Iterator[str]:
    if view.danger:
        yield view.danger
        yield from (say("ending.step", number=number, what=what) for number, what in enumerate(view.advice.first, 1))
    opening = "" if view.danger or view.voice == "field" else view.advice.opening
    # What is decided is told to the customer in these words; the staff read their own page's.
    yield opening or say("ending.decided", title=sentence(view.decision.title))
    if view.actions and not view.advice.first and not opening:
        yield say("ending.first", what=sentence(view.actions[0].title))
        if amounts := list(_amounts(view)):
            yield say("ending.amounts", amounts="; ".join(amounts))
    if view.decision.text:
        yield say("ending.say" if view.voice != "field" else "ending.told", text=view.decision.text)
    boxes = sum(caution.owed for caution in view.cautions)
    if boxes:
        yield say("ending.caution_one") if boxes == 1 else say("ending.cautions", count=boxes)


def _amounts(view: JobView) -> Iterator[str]:
    """How much the first work takes: its parts and products, and what else was worked out for it."""
    yield from (say("ending.part", part=p.name, amount=p.amount.text) for p in view.parts if not p.later)
    yield from (amount.text.rstrip(".") for amount in view.actions[0].amounts if amount.text)

"""Lines that name numbers of the knowledge with their places, and why a call came out as it did."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from engine.evaluation.scoring import Score
from engine.foundation.texts import say
from engine.inference.belief import Hypothesis
from engine.knowledge.model import SOMETHING_ELSE, Knowledge
from engine.proving.numbers import Number, numbers_of
from engine.proving.places import NumberPlaces
from engine.proving.reasons import SHARE, Because, Spoken, Unasked

MISLED_SHOWN = 3
"""So much is named for a miss."""
UNASKED_SHOWN = 2


class NumbersShown:
    """The numbers of a knowledge, each as the file has it, with its file and line."""

    def __init__(self, knowledge: Knowledge, folder: Traversable | Path) -> None:
        """Args: a knowledge and the folder that it was loaded from."""
        self._knowledge, self._folder = knowledge, folder
        self._values: Mapping[Number, float] | None = None
        self._places: NumberPlaces | None = None

    def place(self, number: Number) -> str:
        """Its file and line."""
        if self._places is None:
            self._places = NumberPlaces(self._folder)
        return self._places.of(number)

    def value(self, number: Number) -> float | None:
        """What stands in the file; None for what is left to the rest of a line."""
        if self._values is None:
            self._values = numbers_of(self._knowledge)
        found = self._values.get(number)
        return None if found is None else found * number.scale

    def text(self, number: Number) -> str:
        """Its value and its place."""
        value = self.value(number)
        if value is None:
            return say("trying.the_rest", place=self.place(number))
        return say("trying.number", value=f"{value:.4g}", place=self.place(number))

    def as_json(self, number: Number) -> dict[str, Any]:
        """Its name, value and place, for scripts."""
        return {"number": number.shown(), "value": self.value(number), "place": self.place(number)}


def named(hypothesis: Hypothesis) -> str:
    """A hypothesis by its causes' ids."""
    return " + ".join(hypothesis) or SOMETHING_ELSE


def because_lines(item: Score, why: Because, numbers: NumbersShown) -> Iterator[str]:
    """Why a call came out otherwise than it was."""
    if why.true is None:
        yield say("trying.not_in_tree", causes=" + ".join(item.expected))
        return
    for cause, share in item.left_out:
        yield say("trying.left_out", cause=cause, share=f"{share:.0%}")
    if not item.first:
        yield say("trying.really", causes=" + ".join(item.expected), believed=f"{why.believed:.1%}")
    misled = why.misled[:MISLED_SHOWN]
    for one in misled:
        yield spoken_line(one, why, numbers)
    for check in why.unasked[:UNASKED_SHOWN]:
        yield unasked_line(check, item.call.role)
    if not misled and not why.unasked:
        yield say("trying.nothing_misled")


def spoken_line(one: Spoken, why: Because, numbers: NumbersShown) -> str:
    """What speaks for the hypothesis named, with the numbers on both sides."""
    sides = {"first": numbers.text(one.number), "second": numbers.text(one.against)}
    decibans = f"{one.decibans:+.0f}"
    if one.about == SHARE:
        return say("trying.misled_share", named=named(why.named), decibans=decibans, **sides)
    return say("trying.misled", finding=f"{one.about} = {one.answer}", decibans=decibans, **sides)


def unasked_line(one: Unasked, role: str) -> str:
    """A check that would have told, and why nobody asked it."""
    why = say(
        f"trying.why_not.{one.why}", role=role, needs=one.needs, chance=f"{one.chance:.0%}",
        minutes=f"{one.minutes:.1f}", gain=f"{one.gain:.1f}",
    )  # fmt: skip
    if one.after is None:
        return say("trying.would_tell", check=one.check, decibans=f"{one.decibans:+.0f}", why=why)
    return say("trying.untold", check=one.check, answer=one.answer, after=f"{one.after:.0%}", why=why)


def because_json(why: Because | None, numbers: NumbersShown) -> dict[str, Any] | None:
    """The same for scripts; None where there is nothing to explain."""
    if why is None:
        return None
    return {
        "named": list(why.named),
        "true": None if why.true is None else list(why.true),
        "believed": why.believed,
        "misled": [spoken_json(one, numbers) for one in why.misled],
        "unasked": [unasked_json(one) for one in why.unasked],
    }


def spoken_json(one: Spoken, numbers: NumbersShown) -> dict[str, Any]:
    """What speaks for one hypothesis against another, for scripts."""
    return {
        "about": one.about,
        "answer": one.answer or None,
        "decibans": one.decibans,
        "number": numbers.as_json(one.number),
        "against": numbers.as_json(one.against),
    }


def unasked_json(one: Unasked) -> dict[str, Any]:
    """A check that was not asked, for scripts; its fact is None where the call does not know it."""
    return {**vars(one), "answer": one.answer or None}

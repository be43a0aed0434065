"""What a card is made of: boxes with their ways out, as plain records."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from engine.session.journal import Event
from reports.card.branches import Before

Kind = Literal["check", "repair", "hand_on", "safe", "done", "help"]
OPEN: tuple[Kind, ...] = ("check", "repair")
"""Boxes that have ways out; all others are ends."""
ALWAYS: tuple[Kind, ...] = ("safe", "done", "help")
"""Ends that many ways share, and of which a card has one each."""


@dataclass(frozen=True)
class Way:
    """A way out of a box: the answers (or outcomes) that take it, the box it leads to, and how many in 1 go it."""

    answers: tuple[str, ...]
    goal: int
    probability: float


@dataclass(frozen=True)
class Box:
    """One box of a card.

    `about` is the check, repair or decision, `repair` the remedy of a decision. `before` is the switching that must
    come first; `cautions` hold for all of it. `causes` are what is left where it hands on with no remedy, likeliest
    first. `first` are the checks that its work waits for and that not every way to it has asked. `helps` is the
    probability that a repair leaves nothing wrong. `events` is the job as it stands when the box is reached by its
    likeliest way, and `probability` how many calls in 1 come here.
    """

    number: int
    kind: Kind
    about: str
    repair: str | None
    before: Before
    cautions: tuple[str, ...]
    ways: tuple[Way, ...]
    causes: tuple[str, ...]
    first: tuple[str, ...]
    helps: float
    events: tuple[Event, ...]
    probability: float

    @property
    def mends_by(self) -> str | None:
        """The repair that is done, or handed on as the remedy."""
        return self.about if self.kind == "repair" else self.repair


@dataclass(frozen=True)
class Card:
    """A whole card; box 1 is where it begins, and every way ends in a box without ways."""

    tree: str
    unit: str
    boxes: tuple[Box, ...]

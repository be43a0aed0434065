"""What one job's events come to without any knowledge of faults: the rows of every table but those of pools."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date

from engine.knowledge.model import DANGER_CHECK
from engine.session.job import SET_UP
from engine.session.journal import RECORDED, Event
from engine.session.record import ByHand, recorded_by_hand
from engine.session.taken_back import effective
from engine.store.identity import is_job_id

_NO_DANGER = "none"
"""What the ids of the answers that tell of no danger begin with: without the knowledge nobody can know more."""


@dataclass(frozen=True)
class LastAnswer:
    """One answer to a check: a number in the check's unit, or an answer's id, and when it was given."""

    at: str
    number: float | None
    answer: str | None


@dataclass(frozen=True)
class WorkedOut:
    """What a job's events come to.

    `state` is `open`, `closed` or `thrown_away`. What is not in `by_hand` was said in the interview.
    `dangers` are those that were told of and that nobody found safe since.
    """

    name: str
    opened: str
    latest: str
    state: str
    answers: int
    set_up: dict[str, str] = field(default_factory=dict)
    decision: str | None = None
    repairs: dict[str, tuple[str, str]] = field(default_factory=dict)
    readings: dict[str, LastAnswer] = field(default_factory=dict)
    by_hand: ByHand = field(default_factory=ByHand)
    dangers: frozenset[str] = frozenset()

    @property
    def causes(self) -> tuple[str, ...]:
        """What it turned out to be."""
        return self.by_hand.causes

    @property
    def pool(self) -> str | None:
        """The pool it was said to be at; None where none was named."""
        pool = self.by_hand.facts.get("pool", "")
        return pool if is_job_id(pool) else None

    @property
    def names_somebody(self) -> bool:
        """Whether it tells whose pool it is."""
        return any(self.by_hand.texts.get(name) for name in ("customer", "telephone", "site"))

    @property
    def due(self) -> str | None:
        """The day on which it is due, as long as it is open or nobody said what it was."""
        settled = self.state == "thrown_away" or (self.state == "closed" and self.causes)
        return None if settled else self._day("due")

    def _day(self, name: str) -> str | None:
        """A day that was recorded; a journal may come from anywhere, and hold something else there."""
        day = self.by_hand.facts.get(name, "")
        with suppress(ValueError):
            return date.fromisoformat(day).isoformat()
        return None


def work_out(events: Sequence[Event]) -> WorkedOut:
    """What these events of a job come to, in their order; there is at least one."""
    standing = effective(events)
    found = _Folded()
    for event in standing:
        found.take(event)
    by_hand = recorded_by_hand(event for event in standing if event.kind == RECORDED)
    state = "open" if found.decision is None else "closed"
    return WorkedOut(
        name=next((str(event.value) for event in events if event.kind == "opened" and event.value), ""),
        opened=events[0].at,
        latest=max(event.at for event in events),
        state="thrown_away" if "thrown_away" in by_hand.facts else state,
        answers=sum(event.kind == "answered" and event.about not in SET_UP for event in standing),
        set_up=found.set_up,
        decision=found.decision or None,
        repairs=found.repairs,
        readings=found.readings,
        by_hand=by_hand,
        dangers=frozenset(found.dangers | found.answered),
    )


@dataclass
class _Folded:
    """What is gathered while the events are gone through; a later one wins. A decision of None: it is still open."""

    set_up: dict[str, str] = field(default_factory=dict)
    decision: str | None = None
    repairs: dict[str, tuple[str, str]] = field(default_factory=dict)
    readings: dict[str, LastAnswer] = field(default_factory=dict)
    dangers: set[str] = field(default_factory=set)
    answered: set[str] = field(default_factory=set)

    def take(self, event: Event) -> None:
        match event.kind:
            case "answered" | "corrected" if event.about in SET_UP:
                self.set_up[event.about] = str(event.value)
            case "answered" | "corrected":
                number = None if isinstance(event.value, str) or event.value is None else float(event.value)
                answer = event.value if isinstance(event.value, str) else None
                self.readings[event.about] = LastAnswer(event.at, number, answer)
                if event.about == DANGER_CHECK:
                    self.answered = set() if answer is None or answer.startswith(_NO_DANGER) else {answer}
            case "danger_reported":
                self.dangers.add(event.about)
            case "danger_cleared":
                self.dangers.discard(event.about)
                self.answered.discard(event.about)
            case "dont_know" | "cant":
                self.readings.pop(event.about, None)
            case "repaired" | "verified" if event.about:
                self.repairs[event.about] = (str(event.value), event.at)
            case "closed" | "handed_on":
                self.decision = str(event.value or "")
            case _:
                pass

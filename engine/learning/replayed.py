"""One closed job seen again with the knowledge in use: what was believed, what it turned out to be, what was asked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from engine.inference.belief import Array
from engine.knowledge.model import DANGER_CHECK, SOMETHING_ELSE, Knowledge
from engine.session.believed import BelievedJob
from engine.session.job import SET_UP
from engine.session.journal import Event
from engine.session.many_jobs import beliefs
from engine.session.models import Models
from engine.session.outcome import outcome_of
from engine.session.record import NEVER_KNOWN, recorded_by_hand
from engine.session.session import Session
from engine.session.taken_back import effective

_MOVED = 0.02
"""An answer that moves less than this share of the belief changed nothing: judgement."""

Causes = tuple[str, ...]


@dataclass(frozen=True)
class ReplayedJob:
    """A closed job. `belief` is over the hypotheses of its tree's model, in their order.

    `turned_out` are the causes as they were told at the close, in order, none for something the trees do not know, and
    None where nobody said. `belief` is that before the repair that helped, by which the first guess is judged; `known`
    is all that is known since, the repair's help too. `answered` holds the weights of each finding that spoke.
    `moved_nothing` are checks whose answer left the belief as it was.
    """

    job: str
    tree: str
    turned_out: Causes | None
    in_words: str
    belief: tuple[float, ...]
    known: tuple[float, ...]
    answered: tuple[tuple[str, tuple[float, ...]], ...]
    asked: tuple[str, ...]
    moved_nothing: tuple[str, ...]
    minutes: float | None


def replayed(models: Models, job: str, events: Sequence[Event]) -> ReplayedJob | None:
    """The job seen again; None where it has no belief to speak of: no complaint, danger, or a tree that is gone."""
    session = Session(models, events)
    if session.job.complaint not in models.knowledge.trees or session.job.role is None:
        return None
    outcome = outcome_of(session, None)
    if not outcome.judges:
        return None
    by_hand = recorded_by_hand(outcome.standing)
    judged = outcome.judged
    return ReplayedJob(
        job=job,
        tree=judged.tree.id,
        turned_out=turned_out_of(models.knowledge, by_hand.causes),
        in_words=by_hand.in_words,
        belief=tuple(map(float, judged.belief)),
        known=tuple(map(float, session.belief)) if session.job.complaint == judged.job.complaint else (),
        answered=tuple((found.id, found.weights) for found in judged.evidence),
        asked=tuple(judged.job.asked),
        moved_nothing=tuple(_moved_nothing(judged)),
        minutes=by_hand.minutes.get("labour"),
    )


def taken_up(seen: Mapping[str, Any], events: Sequence[Event]) -> ReplayedJob:
    """A job that was seen before, from its fields as plain lists, with the free words that its events still hold.

    Raises: TypeError or KeyError for fields that are not those of a job seen again.
    """
    return ReplayedJob(
        job=seen["job"],
        tree=seen["tree"],
        turned_out=None if seen["turned_out"] is None else tuple(seen["turned_out"]),
        in_words=recorded_by_hand(effective(events)).in_words,
        belief=tuple(seen["belief"]),
        known=tuple(seen["known"]),
        answered=tuple((name, tuple(weights)) for name, weights in seen["answered"]),
        asked=tuple(seen["asked"]),
        moved_nothing=tuple(seen["moved_nothing"]),
        minutes=seen["minutes"],
    )


def turned_out_of(knowledge: Knowledge, said: Sequence[str]) -> Causes | None:
    """What was told at the close as this knowledge has it: a cause that it lacks is something it does not know."""
    if not said or NEVER_KNOWN in said:
        return None
    return tuple(sorted(cause for cause in said if cause in knowledge.causes and cause != SOMETHING_ELSE))


def _moved_nothing(session: Session) -> Iterator[str]:
    """Checks that were asked and left the belief where it was."""
    told: list[Event] = []

    def believing() -> Iterator[BelievedJob]:
        for event, then in session.along():
            if then.job.complaint is not None:
                told.append(event)
                yield then

    found = beliefs(believing())
    for event, (before, now) in zip(told[1:], pairwise(found), strict=True):
        asked = event.kind == "answered" and event.about not in (*SET_UP, DANGER_CHECK) and not event.beside
        if asked and _distance(before, now) < _MOVED:
            yield event.about


def _distance(before: Array, now: Array) -> float:
    """How much of the belief moved, of 1; all of it where another complaint has other hypotheses."""
    return 1.0 if len(before) != len(now) else float(np.abs(now - before).sum()) / 2

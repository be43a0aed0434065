"""Closed jobs drawn from the numbers of a knowledge: what was wrong by its shares, and answers by its tables."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import numpy as np

from engine.knowledge.model import DANGER_CHECK, SOMETHING_ELSE
from engine.session.journal import Event
from engine.session.models import Models

_BEGINS = datetime(2026, 1, 5, 9, tzinfo=UTC)


def drawn_jobs(
    models: Models, tree: str, count: int, seed: int, asked: int = 6, untold: float = 0.0
) -> Iterator[tuple[str, tuple[Event, ...]]]:
    """Jobs behind one complaint, each with so many checks answered at random, each told what it was but for a share.

    Only checks with a few answers are drawn: those of numbers have their tables by bands.
    """
    drawn, model = np.random.default_rng(seed), models.tree(tree)
    knowledge = models.knowledge
    checks = [
        check.id
        for check in knowledge.checks.values()
        if not check.is_number
        and check.id != DANGER_CHECK
        and check.id not in model.given
        and not _alarming(models, check.id)
    ]
    prior = model.prior / model.prior.sum()
    for number in range(count):
        place = int(drawn.choice(len(prior), p=prior))
        opened = _BEGINS + timedelta(minutes=7 * number)
        said: list[tuple[str, str]] = [
            ("role", "field"),
            (DANGER_CHECK, "none"),
            ("unit", "default"),
            ("complaint", tree),
        ]
        for name in drawn.permutation(checks)[:asked]:
            column = model.tables[name][:, place]
            answer = int(drawn.choice(len(column), p=column / column.sum()))
            said.append((str(name), knowledge.checks[str(name)].answers[answer].id))
        hypothesis = model.hypotheses[place]
        cause = "+".join(hypothesis) or SOMETHING_ELSE
        told = drawn.uniform() >= untold
        job = str(uuid.UUID(bytes=drawn.bytes(16), version=4))
        yield job, tuple(_events(job, f"{opened:%Y-%m-%d-%H%M}", said, cause if told else "", opened))


def _alarming(models: Models, check: str) -> bool:
    """Whether an answer reports a danger or keeps the plant off: such a job ends otherwise."""
    return any(answer.reports or answer.keeps_off for answer in models.knowledge.checks[check].answers)


def _events(job: str, name: str, said: list[tuple[str, str]], cause: str, opened: datetime) -> Iterator[Event]:
    times = ((opened + timedelta(seconds=10 * k)).strftime("%Y-%m-%dT%H:%M:%SZ") for k in range(100))
    yield Event("opened", next(times), about=job, value=name, by="maria @ north shop")
    for about, value in said:
        yield Event("answered", next(times), about=about, value=value)
    yield Event("closed", next(times), value="repair_here")
    if cause:
        yield Event("recorded", next(times), about="cause", value=cause)

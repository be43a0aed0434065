"""Worked calls run by this process or by several; the same comes out whoever works."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from multiprocessing import get_context
from pathlib import Path

from engine.evaluation.calls import WorkedCall
from engine.evaluation.scoring import Score, score, scored
from engine.evaluation.simulate import Run, run_call
from engine.foundation.text_catalog import use_language
from engine.foundation.texts import language_in_use
from engine.session.acts import Act
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.session import Session
from interview.command_line.many_jobs import models_here

_TOGETHER = 8
"""So many calls are handed out at a time."""


@dataclass(frozen=True)
class _Ran:
    """A run as it comes from another process: its events, from which the interview is taken up again."""

    events: tuple[Event, ...]
    at: str
    decision: Act | None
    ended: Act | None
    minutes: float
    cautions: tuple[str, ...]


def scores_of(models: Models, calls: Sequence[WorkedCall], faults: Path | None, workers: int) -> Iterator[Score]:
    """The score of each call, in their order.

    Args: the models; the calls; the folder of the knowledge (None: the shipped one); how many processes work.
    """
    if workers == 1:
        yield from (score(models, call) for call in calls)
        return
    # What is handed over is plain: a view of a mapping does not go from process to process.
    plain = [replace(call, facts=dict(call.facts)) for call in calls]
    parts = [plain[first : first + _TOGETHER] for first in range(0, len(plain), _TOGETHER)]
    # A process that is begun anew holds nothing of this one's threads and connections.
    with ProcessPoolExecutor(workers, get_context("spawn"), use_language, (language_in_use(), faults)) as pool:
        runs = (ran for part in pool.map(partial(_run, faults), parts) for ran in part)
        for call, ran in zip(calls, runs, strict=True):
            session = Session(models, ran.events)
            yield scored(call, Run(session, ran.at, ran.decision, ran.ended, ran.minutes, [*ran.cautions]))


def _run(faults: Path | None, calls: Sequence[WorkedCall]) -> list[_Ran]:
    """One handful, in whichever process this is."""
    models = models_here(faults)
    runs = [run_call(models, call) for call in calls]
    return [
        _Ran(tuple(run.session.events), run.at, run.decision, run.ended, run.minutes, tuple(run.cautions))
        for run in runs
    ]

"""Drawn pools interviewed by this process or by several; the same comes out whoever works."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from pathlib import Path

from engine.proving.drawn import Drawing, DrawnPool, drawn_pool
from engine.session.models import Models
from interview.command_line.many_jobs import models_here

_TOGETHER = 20
"""So many pools are handed out at a time."""


def drawn_pools(models: Models, drawing: Drawing, count: int, faults: Path | None, workers: int) -> Iterator[DrawnPool]:
    """So many pools, in their order.

    Args: the models; which pools; the folder of the knowledge (None: the shipped one); how many processes work.
    """
    if workers == 1:
        yield from (drawn_pool(models, drawing, number) for number in range(count))
        return
    parts = [range(first, min(first + _TOGETHER, count)) for first in range(0, count, _TOGETHER)]
    # A process that is begun anew holds nothing of this one's threads and connections.
    with ProcessPoolExecutor(workers, get_context("spawn")) as pool:
        for found in pool.map(partial(_draw, faults, drawing), parts):
            yield from found


def _draw(faults: Path | None, drawing: Drawing, numbers: Sequence[int]) -> list[DrawnPool]:
    """One handful, in whichever process this is."""
    models = models_here(faults)
    return [drawn_pool(models, drawing, number) for number in numbers]

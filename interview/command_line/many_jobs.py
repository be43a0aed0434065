"""Closed jobs seen again by several processes of this machine, or by a cluster; the same comes out whoever works."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, partial
from itertools import islice
from multiprocessing import get_context
from pathlib import Path
from typing import TypeVar

from engine.foundation.texts import say
from engine.learning.replayed import ReplayedJob, replayed
from engine.session.journal import Event
from engine.session.models import Models
from interview.command_line.context import BadInputError, Places
from interview.command_line.startup import load

_Item = TypeVar("_Item")
Work = tuple[str, tuple[Event, ...]]
Seen = tuple[ReplayedJob | None, ...]
_TOGETHER = 50
"""So many jobs are handed out at a time."""
_AHEAD = 8
"""So many handfuls a worker has waiting at most: the events of all jobs are more than fits a memory."""
_CONNECT_S = 10


@dataclass(frozen=True)
class Workers:
    """Who works: so many processes here, or the cluster at an address."""

    processes: int = 1
    address: str = ""


def seen_again(work: Iterable[Work], faults: Path | None, fingerprint: str, workers: Workers) -> Iterator[Seen]:
    """Each handful of jobs seen again, in their order.

    Args: the jobs; the folder of the knowledge (None: the shipped one) and its fingerprint; who works.

    Raises: BadInputError where the cluster cannot be reached or has other knowledge.
    """
    see = partial(_see, faults, fingerprint)
    parts = _batches(work, _TOGETHER)
    if workers.processes == 1 and not workers.address:
        yield from map(see, parts)
        return
    with _at_work(workers) as (executor, count):
        for handfuls in _batches(parts, _AHEAD * count):
            yield from executor.map(see, handfuls)


def _batches(items: Iterable[_Item], size: int) -> Iterator[tuple[_Item, ...]]:
    """Items by so many at a time."""
    left = iter(items)
    while part := tuple(islice(left, size)):
        yield part


@contextmanager
def _at_work(workers: Workers) -> Iterator[tuple[Executor, int]]:
    """Who works, and how many they are."""
    if not workers.address:
        # A process that is begun anew holds nothing of this one's threads and connections.
        with ProcessPoolExecutor(workers.processes, get_context("spawn")) as pool:
            yield pool, workers.processes
        return
    # Late: only a chain has a cluster, and few install what it takes.
    try:
        from distributed import Client
    except ImportError:
        raise BadInputError(say("learning.no_cluster_library")) from None
    try:
        client = Client(workers.address, timeout=_CONNECT_S)
    except (OSError, ValueError, TimeoutError):
        raise BadInputError(say("learning.no_cluster")) from None
    with client:
        yield client.get_executor(), max(len(client.scheduler_info()["workers"]), 1)


def _see(faults: Path | None, fingerprint: str, part: tuple[Work, ...]) -> Seen:
    """One handful, in whichever process this is."""
    models = _models(faults)
    if models.knowledge.fingerprint != fingerprint:
        raise BadInputError(say("learning.other_knowledge"))
    return tuple(replayed(models, job, events) for job, events in part)


@cache
def _models(faults: Path | None) -> Models:
    return load(Places(faults=faults).faults_folder)

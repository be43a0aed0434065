"""Closed jobs seen again by several processes of this machine, or by a cluster; the same comes out whoever works."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, partial
from itertools import islice
from multiprocessing import get_context
from pathlib import Path
from typing import Any, TypeVar

from engine.foundation.texts import say
from engine.learning.replayed import ReplayedJob, replayed, taken_up
from engine.session.journal import Event
from engine.session.models import Models
from interview.command_line.context import BadInputError, Places
from interview.command_line.startup import load

_Item = TypeVar("_Item")
Work = tuple[str, tuple[Event, ...]]
Seen = tuple[ReplayedJob | None, ...]
Known = Mapping[tuple[str, int], Mapping[str, Any] | None]
"""What was seen before, by the job and the number of its events."""
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


def seen_again(
    work: Iterable[Work], known: Known, faults: Path | None, fingerprint: str, workers: Workers
) -> Iterator[tuple[tuple[Work, ...], Seen]]:
    """Each handful of jobs with what was seen of them, in their order.

    Args: the jobs; what was seen of some of them before; the folder of the knowledge (None: the shipped one) and its
        fingerprint; who works.

    Raises: BadInputError where the cluster cannot be reached or has other knowledge.
    """
    see = partial(_see, faults, fingerprint)
    parts = _batches(work, _TOGETHER)
    if workers.processes == 1 and not workers.address:
        yield from ((part, _together(part, known, see(_not_in(known, part)))) for part in parts)
        return
    with _at_work(workers) as (executor, count):
        # As one handful comes back the next goes out: nobody waits while the events of more are read.
        out: deque[tuple[tuple[Work, ...], Future[Seen]]] = deque()
        for part in parts:
            out.append((part, executor.submit(see, _not_in(known, part))))
            if len(out) > _AHEAD * count:
                yield _back(out, known)
        while out:
            yield _back(out, known)


def _back(out: deque[tuple[tuple[Work, ...], Future[Seen]]], known: Known) -> tuple[tuple[Work, ...], Seen]:
    """The handful that went out first, once it is seen."""
    part, seen = out.popleft()
    return part, _together(part, known, seen.result())


def _not_in(known: Known, part: Sequence[Work]) -> tuple[Work, ...]:
    return tuple((job, events) for job, events in part if (job, len(events)) not in known)


def _together(part: Sequence[Work], known: Known, fresh: Seen) -> Seen:
    """What was seen before and what is seen now, in the order of the jobs."""
    now = iter(fresh)
    return tuple(
        _again(known[job, len(events)], events) if (job, len(events)) in known else next(now) for job, events in part
    )


def _again(seen: Mapping[str, Any] | None, events: Sequence[Event]) -> ReplayedJob | None:
    return None if seen is None else taken_up(seen, events)


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
    models = models_here(faults)
    if models.knowledge.fingerprint != fingerprint:
        raise BadInputError(say("learning.other_knowledge"))
    return tuple(replayed(models, job, events) for job, events in part)


@cache
def models_here(faults: Path | None) -> Models:
    """The models of a folder (None: the shipped one), loaded once in each process."""
    return load(Places(faults=faults).faults_folder)

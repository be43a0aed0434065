"""Many processes that file jobs into one store at once, at the same few pools of people with the same few names."""

from __future__ import annotations

import sys
import time
from concurrent.futures import ProcessPoolExecutor
from contextlib import closing
from multiprocessing import get_context
from multiprocessing.context import BaseContext

from sqlalchemy import func, select

from engine.store.connect import open_store
from engine.store.filing import file_job, rebuild
from engine.store.tables import events, jobs
from tests.engine.store.made import an_id, answer, garcia, rows_of

_AT_ONCE_OF_ONE = 1000
NAMES = ("José García", "Ana Muñoz", "Garrett Sons")


def file_some(address: str, process: int, count: int) -> float:
    """File so many jobs, one by one, each as a command does; the longest that one took, in seconds."""
    longest = 0.0
    for number in range(count):
        job = process * _AT_ONCE_OF_ONE + number
        # A third of them at one pool that all share.
        where = (("pool", an_id(1)),) if not number % 3 else ()
        record = garcia(
            job, answer("tested_salt", float(job)), *where, name=NAMES[number % 3], site=f"{process} Oak Lane"
        )
        begun = time.monotonic()
        with closing(open_store(address)) as store, store.writing() as connection:
            file_job(connection, record)
        longest = max(longest, time.monotonic() - begun)
    return longest


def _begun_alike() -> BaseContext:
    """How the processes begin: as copies of one that has imported all, which takes longest."""
    if sys.platform == "win32":
        return get_context("spawn")
    context = get_context("forkserver")
    context.set_forkserver_preload([__name__])
    return context


def at_once(address: str, processes: int, count: int) -> float:
    """Let so many processes file so many jobs each, and look that all of it is there; the longest that one job took."""
    with ProcessPoolExecutor(processes, mp_context=_begun_alike()) as crowd:
        filing = [crowd.submit(file_some, address, process, count) for process in range(1, processes + 1)]
        longest = max(one.result() for one in filing)
    with closing(open_store(address)) as store:
        with store.reading() as connection:
            found = connection.execute(select(func.count()).select_from(jobs)).scalar_one()
            of_them = connection.execute(select(func.count()).select_from(events)).scalar_one()
        shared = -(-count // 3) * processes
        assert found == processes * count
        assert of_them == 5 * found + shared
        before = rows_of(store)
        with store.writing() as connection:
            list(rebuild(connection))
        assert rows_of(store) == before
    return longest

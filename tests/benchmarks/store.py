"""What a large store takes: `python -m tests.benchmarks.store [--jobs N] [--server] [--tenfold] [--times N]`.

Fills a store with made-up jobs of some twenty events, and one with a tenth of them; then lists, searches, opens, tells
what is due and files a job, each many times, in turn with the plain SQL for the same through the driver alone. Either
connects anew each time, as a command does. `--tenfold` makes the jobs of a server out of the tenth, in the server.
Prints the 95th percentile in ms of both, how many times the plain SQL that is, and how much it grew from a tenth.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
import time
import uuid
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

from engine.store.connect import Store, open_store
from engine.store.filing import JobRecord, file_job
from engine.store.listing import Wanted, due_jobs, jobs_called, list_jobs
from engine.store.rows import filed
from engine.store.tables import grams
from tests.benchmarks.made_up_jobs import TODAY, Shop, rows_of
from tests.benchmarks.plain_stores import File, Server, by_table
from tests.engine.store.places import address_of

_LINE = (
    "j.job, j.name, j.counter, j.account, j.opened, j.latest, j.state, j.role, j.complaint, j.decision, j.due, j.pool"
)
_LIST = f"SELECT {_LINE}, p.name FROM jobs j LEFT JOIN pools p ON p.pool = j.pool"
_LISTED = f"{_LIST} WHERE j.state != 'thrown_away' ORDER BY j.opened DESC, j.job DESC LIMIT 51"
_FOUND = (
    f"{_LIST} WHERE j.state != 'thrown_away' AND j.pool IN (SELECT s.pool FROM sought s JOIN pools q ON q.pool = s.pool"
    " WHERE s.word >= {m} AND s.word < {m} GROUP BY s.pool, q.latest ORDER BY q.latest DESC LIMIT 20)"
    " ORDER BY j.opened DESC, j.job DESC LIMIT 51"
)
_DUE = f"{_LIST} WHERE j.due {{sign}} {{m}} ORDER BY j.due, j.opened LIMIT 200"


class Acts:
    """Each thing that is measured, as ours and as plain SQL."""

    def __init__(self, plain: File, store: Store, shop: Shop, known: Sequence[tuple[str, str]]) -> None:
        self.plain, self.store, self.shop, self.known = plain, store, shop, known
        self.filed = 0

    def all(self) -> dict[str, tuple[Callable[[], object], Callable[[], object]]]:
        """By its name: ours, and the plain SQL."""
        return {
            "list": (self.list_ours, lambda: self.rows((_LISTED, ()))),
            "search": (self.search_ours, self.search_plain),
            "misspelt": (self.misspelt_ours, self.search_plain),
            "open": (self.open_ours, self.open_plain),
            "due": (self.due_ours, self.due_plain),
            "file": (self.file_ours, self.file_plain),
        }

    def rows(self, *queries: tuple[str, Sequence[object]]) -> list[Any]:
        """What queries give, and what the jobs of each turned out to be."""
        mark, listed = self.plain.mark, []
        with closing(self.plain.connect()) as connection:
            for query, given in queries:
                found = connection.execute(query.replace("{m}", mark), given).fetchall()
                holes, ids = ", ".join([mark] * len(found)), [row[0] for row in found]
                if found:
                    connection.execute(f"SELECT job, cause FROM outcomes WHERE job IN ({holes})", ids).fetchall()
                listed += found
        return listed

    def list_ours(self) -> object:
        with self.store.reading() as connection:
            return list_jobs(connection, Wanted(), 51)

    def search_ours(self) -> object:
        with self.store.reading() as connection:
            return list_jobs(connection, Wanted(words=(self._surname(),)), 51)

    def misspelt_ours(self) -> object:
        word = self._surname()
        with self.store.reading() as connection:
            return list_jobs(connection, Wanted(words=(word[0] + word[2] + word[1] + word[3:],)), 51)

    def search_plain(self) -> object:
        word = self._surname()
        return self.rows((_FOUND, (word, word + "\U0010ffff")))

    def _surname(self) -> str:
        return self.shop.chance.choices(self.shop.surnames, cum_weights=self.shop.ranks)[0].lower()

    def open_ours(self) -> object:
        name, _ = self.shop.chance.choice(self.known)
        with self.store.reading() as connection:
            line = jobs_called(connection, name)[0]
            return filed(connection, line.job)

    def open_plain(self) -> object:
        name, _ = self.shop.chance.choice(self.known)
        mark = self.plain.mark
        with closing(self.plain.connect()) as connection:
            job = connection.execute(f"{_LIST} WHERE j.name = {mark}", [name]).fetchall()[0][0]
            found = connection.execute(f"SELECT * FROM events WHERE job = {mark} ORDER BY sequence", [job]).fetchall()
            return found, connection.execute(f"SELECT * FROM said WHERE job = {mark}", [job]).fetchall()

    def due_ours(self) -> object:
        with self.store.reading() as connection:
            return due_jobs(connection, TODAY, 200)

    def due_plain(self) -> object:
        return self.rows(*((_DUE.replace("{sign}", sign), (f"{TODAY}",)) for sign in "=<>"))

    def file_ours(self) -> object:
        record = self._another()
        with self.store.writing() as connection:
            return file_job(connection, record)

    def file_plain(self) -> object:
        with closing(self.plain.connect()) as connection:
            rows = rows_of(self.shop, 1)
            for table, found in by_table(rows):
                columns = [column.name for column in table.columns]
                holes = ", ".join([self.plain.mark] * len(columns))
                clash = " ON CONFLICT DO NOTHING" if table is grams else ""
                connection.cursor().executemany(
                    f"INSERT INTO {table.name} ({', '.join(columns)}) VALUES ({holes}){clash}",
                    [tuple(row.get(column) for column in columns) for row in found],
                )
            connection.commit()
            return None

    def _another(self) -> JobRecord:
        pool = str(uuid.UUID(int=self.shop.chance.getrandbits(128)))
        return self.shop.job(0, pool, self.shop.person())


def measured(acts: Acts, times: int) -> dict[str, tuple[float, float]]:
    """The 95th percentile of each act in ms: ours and plain, taken in turn."""
    found = {}
    for name, both in acts.all().items():
        taken: tuple[list[float], list[float]] = ([], [])
        for _ in range(times):
            for act, times_of_it in zip(both, taken, strict=True):
                begun = time.perf_counter()
                act()
                times_of_it.append((time.perf_counter() - begun) * 1000)
        found[name] = (_most(taken[0]), _most(taken[1]))
    return found


def _most(taken: list[float]) -> float:
    return statistics.quantiles(taken, n=20)[-1]


Measured = dict[str, tuple[float, float]]


def at_size(kind: str, count: int, times: int, seed: int, tenfold: bool = False) -> list[Measured]:
    """Fill a store and measure it; `tenfold`, once more with ten times as many jobs."""
    with tempfile.TemporaryDirectory() as folder:
        address = address_of(kind, Path(folder))
        plain = Server(address) if kind == "server" else File(address)
        with closing(open_store(address)) as store:
            shop = Shop(seed)
            begun = time.perf_counter()
            plain.fill(rows_of(shop, count))
            sys.stdout.write(f"{kind}: {count} jobs in {time.perf_counter() - begun:.0f} s\n")
            sys.stdout.flush()
            with closing(plain.connect()) as connection:
                known = connection.execute("SELECT name, job FROM jobs LIMIT 20000").fetchall()
            found = [measured(Acts(plain, store, shop, known), times)]
            if tenfold and isinstance(plain, Server):
                plain.tenfold(count)
                found.append(measured(Acts(plain, store, shop, known), times))
            return found


def main() -> int:
    """Fill, measure and print."""
    options = argparse.ArgumentParser()
    options.add_argument("--jobs", type=int, default=100_000)
    options.add_argument("--server", action="store_true")
    options.add_argument("--times", type=int, default=200)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--tenfold", action="store_true")
    wanted = options.parse_args()
    kind = "server" if wanted.server else "file"
    sizes = at_size(kind, wanted.jobs // 10, wanted.times, wanted.seed, wanted.tenfold)
    tenth, whole = sizes if wanted.tenfold else (*sizes, *at_size(kind, wanted.jobs, wanted.times, wanted.seed))
    for name, (ours, plain) in whole.items():
        before = tenth[name][0]
        sys.stdout.write(
            f"{name:8} {ours:7.1f} ms; plain {plain:6.1f}, {ours / plain:4.1f} x;"
            f" a tenth {before:6.1f} (plain {tenth[name][1]:.1f}), grown {ours / before:4.2f} x\n"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())

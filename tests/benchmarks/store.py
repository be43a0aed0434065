"""What a large store takes: `python -m tests.benchmarks.store [--jobs N] [--server] [--tenfold] [--times N]`.

Fills a store with made-up jobs of some twenty events, and one with a tenth of them; then lists, searches, opens, tells
what is due and files a job, each many times, in turn with the plain SQL for the same through the driver alone. Either
connects anew each time, as a command does. `--tenfold` makes the jobs of a server out of the tenth, in the server.
Prints the 95th percentile in ms of both, how many times the plain SQL that is, and how much it grew from a tenth.
"""

from __future__ import annotations

import argparse
import random
import sqlite3
import statistics
import sys
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta
from itertools import accumulate
from pathlib import Path
from typing import Any

from sqlalchemy import Table

from engine.session.journal import Event, JournalContent
from engine.store.connect import Store, open_store
from engine.store.filing import JobRecord, file_job, record_of, rows_that_follow
from engine.store.identity import Writer
from engine.store.listing import Wanted, due_jobs, jobs_called, list_jobs
from engine.store.people import Pool, spelling
from engine.store.personal import in_two_parts
from engine.store.rows import filed
from engine.store.tables import events, grams, jobs, outcomes, pools, readings, repairs, said, sought
from tests.engine.store.places import address_of

_TODAY = date(2026, 11, 30)
_AT_ONCE = 5000
_SYLLABLES = [first + vowel for first in "bcdfghjklmnprstvz" for vowel in "aeiou"]
_JOBS_OF_A_POOL = 3
Row = dict[str, Any]


class Shop:
    """Jobs made up, always the same for one seed: a few surnames are many people's, most are few people's."""

    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)
        self.surnames = [self._word(3) for _ in range(5000)]
        self.first_names = [self._word(2) for _ in range(400)]
        self.streets = [self._word(4) for _ in range(2000)]
        self.ranks = list(accumulate(1 / rank for rank in range(1, len(self.surnames) + 1)))

    def _word(self, syllables: int) -> str:
        return "".join(self.chance.choice(_SYLLABLES) for _ in range(syllables)).capitalize()

    def person(self) -> tuple[str, str, str]:
        """Name, telephone and street of somebody."""
        chance = self.chance
        name = f"{chance.choice(self.first_names)} {chance.choices(self.surnames, cum_weights=self.ranks)[0]}"
        return (
            name,
            f"{chance.randrange(10**9, 10**10)}",
            f"{chance.randrange(1, 400)} {chance.choice(self.streets)} St",
        )

    def job(self, number: int, pool: str, whose: tuple[str, str, str]) -> JobRecord:
        """One job at a pool; it is the pool's first where that has its id."""
        chance = self.chance
        # One after the other, as jobs come in, over some years.
        begun = datetime(2022, 1, 3, tzinfo=UTC) + timedelta(minutes=20 * number + chance.randrange(60))
        job, name = str(uuid.UUID(int=chance.getrandbits(128))), f"{begun:%Y-%m-%d-%H%M}"
        job = pool if not number % _JOBS_OF_A_POOL else job
        writer = Writer(f"account{chance.randrange(20)}", f"counter {chance.randrange(10)}")
        read = [(f"check_{chance.randrange(40)}", float(chance.randrange(4000))) for _ in range(8)]
        told = [
            Event("opened", "", about=job, value=name, by=str(writer)),
            Event("answered", "", about="role", value="counter"),
            Event("answered", "", about="complaint", value=f"complaint-{chance.randrange(15)}"),
            Event("answered", "", about="unit", value="default", text="dunno"),
            *(Event("answered", "", about=check, value=value, text="typed") for check, value in read),
            *(Event("recorded", "", about=of, value=what) for of, what in zip(_OF_PEOPLE, whose, strict=True)),
            Event("recorded", "", about="pool", value=pool),
            Event("repaired", "", about="acid_clean", value="done"),
            Event("noted", "", text="the gate is open"),
        ]
        if chance.random() < 0.97:
            told.append(Event("recorded", "", about="cause", value=f"cause_{chance.randrange(60)}"))
            told.append(Event("closed", "", value="repair_here"))
        else:
            told.append(
                Event("recorded", "", about="due", value=f"{_TODAY + timedelta(days=chance.randrange(-30, 30))}")
            )
        timed = [Event(**{**vars(one), "at": f"{begun:%Y-%m-%dT%H:%M:}{place:02}Z"}) for place, one in enumerate(told)]
        return record_of(name, JournalContent(tuple(timed), tuple(range(1, len(timed) + 1))), writer)


_OF_PEOPLE = ("customer", "telephone", "site")


def rows_of(shop: Shop, count: int) -> Iterator[tuple[Table, Row]]:
    """Every row of a store with so many jobs."""
    spelt: set[str] = set()
    pool, whose = "", ("", "", "")
    for number in range(count):
        if not number % _JOBS_OF_A_POOL:
            pool, whose = str(uuid.UUID(int=shop.chance.getrandbits(128))), shop.person()
        record = shop.job(number, pool, whose)
        for row in record.rows:
            kept, words = in_two_parts(row.event)
            yield events, _event(record.job, row.sequence, row.event, kept, row.writer)
            for of, spoken in words.items():
                yield said, {"job": record.job, "sequence": row.sequence, "field": of, "words": spoken}
        for table, follows in rows_that_follow(record.job, record.rows).items():
            yield from ((table, one) for one in follows)
        if number % _JOBS_OF_A_POOL == _JOBS_OF_A_POOL - 1 or number == count - 1:
            one = Pool(pool, pool, *whose, "", record.rows[-1].event.at)
            yield pools, asdict(one)
            for word in one.words:
                yield sought, {"word": word, "pool": pool}
                if not word.isdecimal() and word not in spelt:
                    spelt.add(word)
                    yield from ((grams, {"gram": gram, "word": word}) for gram in spelling(word))


def _event(job: str, sequence: int, event: Event, kept: Row, writer: Writer) -> Row:
    import json

    payload = json.dumps(kept, sort_keys=True, ensure_ascii=False)
    of_it = {"job": job, "sequence": sequence, "at": event.at, "kind": event.kind, "payload": payload}
    return {**of_it, "account": writer.account, "counter": writer.counter}


class File:
    """The file of a shop, through its driver."""

    mark = "?"

    def __init__(self, address: str) -> None:
        self.address = address

    def connect(self) -> Any:
        """A connection that keeps what is written as ours does."""
        made = sqlite3.connect(self.address)
        made.execute("PRAGMA synchronous=FULL")
        return made

    def fill(self, found: Iterator[tuple[Table, Row]]) -> None:
        """Put every row in."""
        with closing(self.connect()) as connection:
            connection.execute("PRAGMA synchronous=OFF")
            for table, rows in _by_table(found):
                columns = [column.name for column in table.columns]
                holes = ", ".join("?" * len(columns))
                connection.executemany(
                    f"INSERT INTO {table.name} ({', '.join(columns)}) VALUES ({holes})",
                    [tuple(row.get(column) for column in columns) for row in rows],
                )
            connection.commit()


class Server(File):
    """The server of a chain, through its driver."""

    mark = "%s"

    def connect(self) -> Any:
        """A connection."""
        import psycopg

        return psycopg.connect(self.address)

    def fill(self, found: Iterator[tuple[Table, Row]]) -> None:
        """Put every row in."""
        with closing(self.connect()) as connection:
            # Made in one go behind it: kept up row by row they take the longest.
            again = _without_indexes(connection)
            for table, rows in _by_table(found):
                columns = [column.name for column in table.columns]
                with connection.cursor().copy(f"COPY {table.name} ({', '.join(columns)}) FROM STDIN") as copy:
                    for row in rows:
                        copy.write_row([row.get(column) for column in columns])
            _with_indexes(connection, again)

    def tenfold(self, jobs_there: int) -> None:
        """Put nine of each row beside it, with other ids, and each copy as much later as all those before it took."""
        later = timedelta(minutes=20 * jobs_there)
        with closing(self.connect()) as connection:
            connection.execute("SET timezone = 'UTC'")
            again = _without_indexes(connection)
            for table in (events, said, jobs, outcomes, repairs, readings, pools, sought):
                columns = [column.name for column in table.columns]
                copied = ", ".join(_copied(table.name, column, later) for column in columns)
                connection.execute(
                    f"INSERT INTO {table.name} ({', '.join(columns)})"
                    f" SELECT {copied} FROM {table.name}, generate_series(1, 9) AS k"
                )
            _with_indexes(connection, again)


def _copied(table: str, column: str, later: timedelta) -> str:
    """What stands in a column of the k-th copy of a row."""
    then = f"replace({{}}, 'Z', '+00')::timestamptz + k * interval '{later.total_seconds():.0f} seconds'"
    if column in ("job", "pool", "person"):
        return f"md5({column} || ':' || k)::uuid::text"
    if column in ("at", "opened", "latest"):
        return f"""to_char({then.format(column)}, 'YYYY-MM-DD"T"HH24:MI:SS"Z"')"""
    if (table, column) == ("jobs", "name"):
        return f"to_char({then.format('opened')}, 'YYYY-MM-DD-HH24MI')"
    return column


def _with_indexes(connection: Any, again: Sequence[str]) -> None:
    """Make again what was dropped, and have the server count its rows."""
    connection.execute("SET maintenance_work_mem = '1GB'")
    for statement in again:
        connection.execute(statement)
    connection.commit()
    connection.autocommit = True
    connection.execute("VACUUM ANALYZE")


def _without_indexes(connection: Any) -> list[str]:
    """Drop what the tables are looked up by and held together by; the statements that make it again, in their order."""
    held = connection.execute(
        "SELECT c.conrelid::regclass, c.conname, pg_get_constraintdef(c.oid) FROM pg_constraint c"
        " JOIN pg_class t ON t.oid = c.conrelid"
        " WHERE c.contype IN ('f', 'p') AND t.relnamespace = 'public'::regnamespace ORDER BY c.contype"
    ).fetchall()
    for table, name, _ in held:
        connection.execute(f"ALTER TABLE {table} DROP CONSTRAINT {name}")
    left = connection.execute("SELECT indexname, indexdef FROM pg_indexes WHERE schemaname = 'public'").fetchall()
    for name, _ in left:
        connection.execute(f"DROP INDEX {name}")
    again = [f"ALTER TABLE {table} ADD CONSTRAINT {name} {what}" for table, name, what in reversed(held)]
    return again + [what for _, what in left]


def _by_table(found: Iterator[tuple[Table, Row]]) -> Iterator[tuple[Table, list[Row]]]:
    waiting: dict[Table, list[Row]] = {}
    for table, row in found:
        rows = waiting.setdefault(table, [])
        rows.append(row)
        if len(rows) >= _AT_ONCE:
            yield table, rows
            waiting[table] = []
    for table in (events, said, jobs, outcomes, repairs, readings, pools, sought, grams):
        if waiting.get(table):
            yield table, waiting[table]


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
            return due_jobs(connection, _TODAY, 200)

    def due_plain(self) -> object:
        return self.rows(*((_DUE.replace("{sign}", sign), (f"{_TODAY}",)) for sign in "=<>"))

    def file_ours(self) -> object:
        record = self._another()
        with self.store.writing() as connection:
            return file_job(connection, record)

    def file_plain(self) -> object:
        with closing(self.plain.connect()) as connection:
            rows = rows_of(self.shop, 1)
            for table, found in _by_table(rows):
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

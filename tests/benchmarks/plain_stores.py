"""A store's tables through the drivers alone, a file's or a server's: filled in one go, or multiplied in the server."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing
from datetime import timedelta
from typing import Any

from sqlalchemy import Table

from engine.store.tables import events, grams, jobs, outcomes, pools, readings, repairs, said, sought
from tests.benchmarks.made_up_jobs import Row

_AT_ONCE = 5000


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
            for table, rows in by_table(found):
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
            for table, rows in by_table(found):
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


def by_table(found: Iterator[tuple[Table, Row]]) -> Iterator[tuple[Table, list[Row]]]:
    """Rows by their table, a handful at a time."""
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

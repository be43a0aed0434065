"""A pool is found by any piece that somebody remembers of whose it is, and its record is what was told last."""

from __future__ import annotations

import pytest

from engine.store.connect import Store
from engine.store.people import find_pools, pool_of, pools_of_person
from engine.store.tables import grams, pools, sought
from tests.engine.store.made import an_id, file_all, garcia, rows_of, told

NOT_HIS = (
    told(2, ("customer", "Ana Muñoz"), ("telephone", "281 555 9001"), ("site", "Calle Mayor 3, Ático"),
         ("serial", "AQ-77831")),
    told(3, ("customer", "Garrett & Sons"), ("telephone", "0046 31 123 45 67"), ("site", "Oak Street 140")),
)  # fmt: skip


def names(store: Store, typed: str) -> list[str]:
    with store.reading() as connection:
        return [pool.name for pool in find_pools(connection, typed)]


def test_by_any_piece_of_name_telephone_street_and_serial_number(store: Store) -> None:
    file_all(store, [garcia(1), *NOT_HIS])
    expected = {
        "José García": ["garcia", "GARCÍA", "jose", "jos gar", "Garcia José", "garsia", "gracia", "0142", "555-0142",
                        "713 555 0142", "(713)5550142", "1 713 555 0142", "14 oak la", "lane", "oak lane garcia"],
        "Ana Muñoz": ["munoz", "muñ", "MUÑOZ", "atico", "calle mayor", "77831", "aq 77831", "281 555 9001",
                      "+1 281 555 9001", "munos"],
        "Garrett & Sons": ["garret", "sons", "sons & garrett", "oak street", "1234567", "31 123"],
    }  # fmt: skip
    wrong = {
        typed: found
        for name, pieces in expected.items()
        for typed in pieces
        if (found := names(store, typed)) != [name]
    }
    assert not wrong


@pytest.mark.parametrize(
    "typed", ["", "  ", "!?", "zzzz", "garcia munoz", "0143", "9 281 555 90", "%", "_", "' or 1=1"]
)
def test_nobody_is_found_by_what_nobody_has(store: Store, typed: str) -> None:
    file_all(store, [garcia(1), *NOT_HIS])
    assert names(store, typed) == []


def test_several_are_told_the_one_heard_of_last_first(store: Store) -> None:
    file_all(store, [garcia(1), garcia(5, name="Luis Garcia"), garcia(3, name="Eva Garcia")])
    assert names(store, "garcia") == ["Luis Garcia", "Eva Garcia", "José García"]
    assert names(store, "garcia ev") == ["Eva Garcia"]


def test_the_record_is_what_was_told_last_and_the_former_words_find_nothing(store: Store) -> None:
    file_all(store, [garcia(1), told(2, ("pool", an_id(1)), ("customer", "Rosa Quintero"), ("serial", "SN1"))])
    with store.reading() as connection:
        found = pool_of(connection, an_id(1))
    assert found is not None
    assert (found.name, found.site, found.serial) == ("Rosa Quintero", "14 Oak Lane", "SN1")
    assert names(store, "garcia") == []
    assert names(store, "qintero") == names(store, "oak") == ["Rosa Quintero"]
    kept = rows_of(store, sought, grams)
    assert "garcia" not in repr(kept)


def test_a_job_moved_to_another_pool_leaves_nothing_at_its_own(store: Store) -> None:
    file_all(store, [garcia(1), garcia(2, name="Pepe Garcia")])
    assert len(rows_of(store, pools)["pools"]) == 2
    moved = garcia(2, ("pool", an_id(1)), name="Pepe Garcia")
    file_all(store, [moved])
    assert names(store, "garcia") == ["Pepe Garcia"]
    assert [row[0] for row in rows_of(store, pools)["pools"]] == [an_id(1)]


def test_one_person_may_have_several_pools(store: Store) -> None:
    second = garcia(2, ("pool", an_id(2)), ("person", an_id(1)), site="Lake House")
    file_all(store, [garcia(1), second])
    with store.reading() as connection:
        found = pools_of_person(connection, an_id(1))
    assert [pool.site for pool in found] == ["Lake House", "14 Oak Lane"]


def test_how_a_word_is_spelt_is_kept_as_long_as_anybody_has_it(store: Store) -> None:
    file_all(store, [garcia(1), garcia(2, name="Luis Garcia")])
    file_all(store, [garcia(2, ("customer", "Luis Pons"), name="Luis Garcia")])
    assert names(store, "garsia") == ["José García"]
    file_all(store, [garcia(1, ("customer", "Marta"))])
    assert "garcia" not in {word for _, word in rows_of(store, grams)["grams"]}

"""What a line names: checks, repairs, questions of the start."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.knowledge.model import Check
from engine.session.availability import asked_checks
from interview.understanding.matching import words_of
from interview.understanding.names import checks_named, parts_of, repairs_named, start_named
from tests.shipped import knowledge

CHECKS = tuple(asked_checks(knowledge()))


def called(check: Check) -> tuple[str, ...]:
    return (check.id, *check.names, check.wording.customer, check.wording.technician)


NAMES = sorted({name for check in CHECKS for name in called(check)})


@given(st.sampled_from(NAMES).flatmap(lambda name: st.sampled_from([name, name.upper(), f" {name}?", name[:-1]])))
def test_the_checks_named_are_those_that_a_search_of_the_catalogue_finds(line: str) -> None:
    searched = [check.id for check in CHECKS if words_of(line) in [words_of(name) for name in called(check)]]
    assert list(checks_named(knowledge(), line)) == searched


def test_nothing_names_nothing() -> None:
    assert checks_named(knowledge(), " ?") == ()
    assert start_named("?") == ()


def test_every_repair_is_named_by_its_own_words() -> None:
    for repair in knowledge().repairs.values():
        names, whole = repairs_named(knowledge(), repair.wording.technician)
        assert repair.id in names
        assert whole


@pytest.mark.parametrize(("line", "parts"), [("a, b;c", ("a", "b", "c")), (" ,; ", ()), ("one", ("one",))])
def test_commas_part_what_was_tried(line: str, parts: tuple[str, ...]) -> None:
    assert parts_of(line) == parts

"""A small form of the search for an interview that could hurt somebody; the large one: `tests/benchmarks/safety.py`."""

from __future__ import annotations

import pytest

from tests.benchmarks import plain_hazards as plain
from tests.benchmarks.safety_planted import PLANTED, cases_until_found
from tests.benchmarks.safety_search import exhaustive, random_interviews, speaking
from tests.benchmarks.safety_strategy import chosen_by_chance

pytestmark = [
    pytest.mark.e2e,
    pytest.mark.no_cover,
]  # hundreds of interviews through branches that other tests take too

START = (("role", "field"), ("danger_now", "none"), ("unit", "default"), ("complaint", "supply-fault"))
CASES = 60
MOST_CASES = 400
"""Interviews until a planted mistake is found, at most; the rarest of them took 103."""


def test_no_random_interview_breaks_a_law_of_safety() -> None:
    """With so few interviews, the hazards and laws that are reached are most of them; the large search wants all."""
    with chosen_by_chance():
        found = random_interviews(range(CASES))
    assert [str(breach) for breach in found.broken] == []
    assert found.interviews == CASES
    assert len(found.unreached()) <= 3


@pytest.mark.parametrize("danger", ["none", "tingle"])
def test_no_interview_of_a_few_questions_breaks_one(danger: str) -> None:
    said = tuple((about, danger if about == "danger_now" else value) for about, value in START)
    with speaking("en") as models:
        found, states = exhaustive(models, said, 3)
    assert [str(breach) for breach in found.broken] == []
    assert states > 5


@pytest.mark.parametrize("planted", ["keep-off forgotten", "resumed plant trusted"])
def test_a_planted_mistake_is_found(planted: str) -> None:
    assert cases_until_found(planted, MOST_CASES) is not None


@pytest.mark.parametrize("planted", PLANTED)
def test_each_mistake_can_be_planted(planted: str) -> None:
    """What the large search plants still has its place in the program."""
    with pytest.MonkeyPatch.context() as patch:
        PLANTED[planted].plant(patch)


def test_the_search_reads_what_is_there() -> None:
    """Its own reader of the YAML finds something of each kind, or its laws would hold of nothing."""
    works = [*plain.checks().values(), *plain.repairs().values()]
    assert any(work.keeps_off for work in works)
    assert any(work.waits_for for work in works)
    assert all(plain.switching_texts(which) for which in ("on", "off"))
    assert {danger for _, danger in plain.said_of_danger("es")} == set(plain.dangers())

"""Free lines are understood no worse than they were: lines that only judge, by way of the pipe.

The floors lie a little below what was measured when they were set; `tests/benchmarks/understanding.py` tells more.
"""

from __future__ import annotations

from functools import cache

import pytest

from engine.knowledge.model import DANGER_CHECK
from tests.benchmarks.understanding import measured
from tests.spoken.measuring import FOLDER, Line, Outcome, lines_of, outcomes

pytestmark = [pytest.mark.e2e, pytest.mark.no_cover]  # whole lines through branches that other tests take too


JUDGES = ("judge", "judge_more", "judge_third", "judge_decoys", "judge_counter")


@cache
def judged() -> tuple[Outcome, ...]:
    return tuple(outcomes([line for name in JUDGES for line in lines_of(FOLDER / f"{name}.yaml")]))


# Of the stated facts: at once at least, at once or offered at least, wrong at most, in per cent.
FLOORS = {"en": (69.0, 89.5, 6.6), "es": (71.0, 86.5, 5.8)}


@pytest.mark.parametrize("language", FLOORS)
def test_what_is_stated_is_understood(language: str) -> None:
    found = measured([each for each in judged() if each.line.lang == language])
    at_once, offered, wrong = FLOORS[language]
    assert found["at_once"] >= at_once
    assert found["at_once_or_offered"] >= offered
    assert found["wrong_of_stated"] <= wrong


def test_what_is_said_with_doubt_is_hardly_ever_taken() -> None:
    found = measured(judged())
    assert found["hedged"] >= 40
    assert found["hedged_taken"] <= 2


def test_signs_of_danger_lead_to_the_question_for_danger() -> None:
    found = measured(judged())
    assert found["dangers"] >= 25
    assert found["dangers_asked"] == found["dangers"]


def test_where_a_line_tells_of_danger_nothing_offers_that_there_is_none() -> None:
    """Two signs in one line too, of which the question for danger takes the first and the second is asked after it."""
    two = [
        Line("water spraying on the plug, kid felt a tingle"),
        Line("kid felt a tingle, and there is a burning smell"),
        Line("hay agua en el enchufe y mi hijo notó un cosquilleo", "es"),
    ]
    told = [each for each in (*judged(), *outcomes(two)) if each.danger_asked]
    checks = told[0].knowledge.checks[DANGER_CHECK]
    denied = [
        (each.line.line, answer)
        for each in told
        for check, answer in each.offered
        if check == DANGER_CHECK and checks.danger_of(str(answer)) is None and each.line.facts.get(check) != answer
    ]
    assert len(told) > 25
    assert denied == []

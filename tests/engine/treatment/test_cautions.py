"""What a job touches on, and what it owes: the gravest first, each once, and no dose where people keep away."""

from __future__ import annotations

import pytest

from engine.knowledge.model import SIGNALS
from engine.session.acts import Act
from engine.session.outcome import outcome_of
from engine.treatment.cautions import concerns, gravest_first, owed_cautions
from tests.reports.jobs import answers, job, opened
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
FOUND = job(*opened("field", "low-salt"), *answers(tested_salt=3350.0, unit_salt=2450.0, cell_plates="white_scale"))
CLEANING = outcome_of(FOUND, Act("conclude", "repair_here", repair="acid_clean", why="settled"))
ELECTRIC = outcome_of(FOUND, Act("conclude", "call_electrician", repair="restore_supply", why="settled"))


def test_cautions_stand_gravest_first_and_once() -> None:
    names = [*KNOWLEDGE.cautions, *reversed(list(KNOWLEDGE.cautions)), "no_such_caution"]
    ordered = gravest_first(KNOWLEDGE, names)
    assert sorted(caution.id for caution in ordered) == sorted(KNOWLEDGE.cautions)
    ranks = [SIGNALS.index(caution.signal) for caution in ordered]
    assert ranks == sorted(ranks)


def test_all_that_the_work_carries_is_owed() -> None:
    about = concerns(CLEANING, ["acid_clean"], lambda: True)
    owed = {caution.id for caution in owed_cautions(CLEANING, ["acid_clean"], [], about)}
    assert about.acid
    assert owed >= set(KNOWLEDGE.repairs["acid_clean"].cautions)


@pytest.mark.parametrize("lacks", [True, False])
def test_chlorine_by_hand_is_for_water_that_lacks_it_and_never_where_current_may_leak(lacks: bool) -> None:
    assert concerns(CLEANING, ["acid_clean"], lambda: lacks).by_hand is lacks
    keep_away = concerns(ELECTRIC, ["restore_supply"], lambda: lacks)
    assert keep_away.shock
    assert not keep_away.by_hand

"""What a job touches on, and the cautions of each paper: for who does the act, gravest first, each once."""

from __future__ import annotations

import pytest

from engine.knowledge.model import SIGNALS
from engine.session.acts import Act
from engine.session.journal import Event
from engine.session.outcome import outcome_of
from engine.treatment.cautions import (
    PaperCautions,
    concerns,
    gravest_first,
    owners_cautions,
    shops_cautions,
    technicians_cautions,
)
from engine.treatment.order_of_work import LaidOut, When
from tests.reports.jobs import AT, answers, job, opened
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
FOUND = job(*opened("field", "low-salt"), *answers(tested_salt=3350.0, unit_salt=2450.0, cell_plates="white_scale"))
CLEANING = outcome_of(FOUND, Act("conclude", "repair_here", repair="acid_clean", why="settled"))
SALTING = outcome_of(FOUND, Act("conclude", "repair_here", repair="add_salt", why="settled"))
ELECTRIC = outcome_of(FOUND, Act("conclude", "call_electrician", repair="restore_supply", why="settled"))


def laid_out(repair: str, when: When = "first") -> LaidOut:
    return LaidOut(repair, KNOWLEDGE.repairs[repair].decision["field"], when, 0.5)


def boxes(told: PaperCautions) -> set[str]:
    return {caution.id for caution in told.whole}


def test_cautions_stand_gravest_first_and_once() -> None:
    names = [*KNOWLEDGE.cautions, *reversed(list(KNOWLEDGE.cautions)), "no_such_caution"]
    ordered = gravest_first(KNOWLEDGE, names)
    assert sorted(caution.id for caution in ordered) == sorted(KNOWLEDGE.cautions)
    ranks = [SIGNALS.index(caution.signal) for caution in ordered]
    assert ranks == sorted(ranks)


WITH_ACID = {"acid_never_with_chlorine", "acid_into_water", "splash_protection"}


def test_whoever_does_the_work_is_warned_and_nobody_else() -> None:
    """The technician isolates and proves dead, the owner switches off and locks; who does nothing needs no box."""
    clean = KNOWLEDGE.repairs["acid_clean"]
    about = concerns(CLEANING, [laid_out("acid_clean")], lambda: False)
    technician = boxes(technicians_cautions(CLEANING, [laid_out("acid_clean")], [], about))
    owner = boxes(owners_cautions(CLEANING, [clean], [], about))
    assert about.acid
    assert technician > {"isolate_and_prove_dead", *WITH_ACID}
    assert owner > {"switch_off_and_lock", *WITH_ACID}
    assert not {"switch_off_and_lock"} & technician
    assert not {"isolate_and_prove_dead"} & owner
    assert boxes(owners_cautions(CLEANING, [], [], about)) == set()
    assert boxes(shops_cautions(CLEANING, ["acid_clean"], about)) == set()


def test_work_that_only_may_come_is_told_in_a_line() -> None:
    first = [laid_out("add_salt"), laid_out("acid_clean", "otherwise")]
    told = technicians_cautions(CLEANING, first, ["supply_voltage"], concerns(CLEANING, first, lambda: False))
    lines = {caution.id for caution in told.in_a_line}
    assert {*WITH_ACID, "isolate_and_prove_dead", "licensed_electrician"} <= lines
    assert not lines & boxes(told)


def test_whoever_pours_chlorine_wears_goggles_and_reads_of_acid_in_a_line_only() -> None:
    first = [laid_out("add_salt")]
    about = concerns(SALTING, first, lambda: True)
    for told in (owners_cautions(SALTING, [], [], about), technicians_cautions(SALTING, first, [], about)):
        assert {"splash_protection", "swimmers_out"} <= boxes(told)
        assert "acid_never_with_chlorine" in {caution.id for caution in told.in_a_line}
        assert "acid_never_with_chlorine" not in boxes(told)


@pytest.mark.parametrize("lacks", [True, False])
def test_chlorine_by_hand_is_for_water_that_lacks_it_and_never_where_current_may_leak(lacks: bool) -> None:
    assert concerns(SALTING, [laid_out("add_salt")], lambda: lacks).by_hand is lacks
    keep_away = concerns(ELECTRIC, [laid_out("restore_supply")], lambda: lacks)
    assert keep_away.shock
    assert not keep_away.by_hand


@pytest.mark.parametrize(("result", "told"), [("done", True), ("could_not", False)])
def test_acid_that_could_not_be_used_is_not_told_of(result: str, told: bool) -> None:
    session = job(*opened("field", "cell-leak"), Event("repaired", AT, about="acid_clean", value=result))
    concluded = outcome_of(session, Act("conclude", "repair_here", repair="new_union_oring", why="settled"))
    assert concerns(concluded, [laid_out("new_union_oring")], lambda: False).acid is told

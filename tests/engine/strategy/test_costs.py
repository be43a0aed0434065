"""What acts cost: laws that hold for every role and every way of doing a repair, and small sums by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from engine.knowledge.model import PartNeed, Repair, Role, RoleId
from engine.knowledge.properties import Decision
from engine.strategy.costs import chance_to_say, check_minutes, decision_for, fallbacks, remedy_for
from tests.shipped import knowledge

KNOWLEDGE = knowledge()
ROLES: tuple[RoleId, ...] = tuple(KNOWLEDGE.roles)
DECISIONS = sorted({"other_trade", *(d for repair in KNOWLEDGE.repairs.values() for d in repair.decision.values())})


def _decided(repair: Repair, decision: Decision) -> Repair:
    """The repair where every role decides alike."""
    wanted: Mapping[RoleId, Decision] = dict.fromkeys(ROLES, decision)
    return replace(repair, decision=wanted)


def _parts(repair: Repair, in_van: bool) -> tuple[PartNeed, ...]:
    return tuple(need for need in repair.parts if KNOWLEDGE.parts[need.part].in_van is in_van)


@pytest.mark.parametrize("role", [KNOWLEDGE.roles[r] for r in ROLES], ids=ROLES)
@pytest.mark.parametrize("decision", DECISIONS)
def test_being_wrong_never_costs_less_than_being_right(role: Role, decision: Decision) -> None:
    """What is done for nothing was done all the same; and where it means another trip, it costs more."""
    for repair in KNOWLEDGE.repairs.values():
        found = remedy_for(_decided(repair, decision), role, KNOWLEDGE)
        assert 0 <= found.right <= found.wrong
        if found.decision not in ("repair_here", "order_and_return"):
            assert found.right < found.wrong


@pytest.mark.parametrize("role", [KNOWLEDGE.roles[r] for r in ROLES], ids=ROLES)
@pytest.mark.parametrize("decision", DECISIONS)
def test_being_wrong_costs_no_more_than_one_trip_and_the_parts(role: Role, decision: Decision) -> None:
    """It is put right by coming once more; nobody comes twice, and a part is paid once."""
    for repair in KNOWLEDGE.repairs.values():
        parts = sum(role.minutes[KNOWLEDGE.parts[need.part].price] for need in repair.parts)
        found = remedy_for(replace(_decided(repair, decision), swap_back=None), role, KNOWLEDGE)
        assert found.wrong - found.right <= role.minutes["return_trip"] + parts + 1e-9


@pytest.mark.parametrize("role", [KNOWLEDGE.roles[r] for r in ROLES], ids=ROLES)
@pytest.mark.parametrize("decision", DECISIONS)
def test_a_part_bought_for_nothing_is_lost_only_where_the_repair_was_wrong(role: Role, decision: Decision) -> None:
    """With parts and without: the same where it cures, never cheaper where it does not."""
    for repair in KNOWLEDGE.repairs.values():
        carried = replace(_decided(repair, decision), parts=_parts(repair, in_van=True), swap_back=None)
        with_parts = remedy_for(carried, role, KNOWLEDGE)
        without = remedy_for(replace(carried, parts=()), role, KNOWLEDGE)
        assert with_parts.right == without.right
        assert with_parts.wrong >= without.wrong
        if carried.parts and decision in ("repair_here", "sell_and_treat", "order_and_return"):
            assert with_parts.wrong > without.wrong


@pytest.mark.parametrize("role", [KNOWLEDGE.roles[r] for r in ROLES], ids=ROLES)
def test_a_repair_on_an_isolated_pool_takes_the_switching_off_and_on_besides(role: Role) -> None:
    """By hand: the minutes of the roles file, once off and once on."""
    for repair in KNOWLEDGE.repairs.values():
        here = replace(_decided(repair, "repair_here"), parts=())
        off = remedy_for(replace(here, plant="isolated"), role, KNOWLEDGE).right
        running = remedy_for(replace(here, plant="running"), role, KNOWLEDGE).right
        assert running == pytest.approx(repair.minutes)
        assert off - running == pytest.approx(role.minutes["isolate"] + role.minutes["restore"])


@pytest.mark.parametrize("role", [KNOWLEDGE.roles[r] for r in ROLES], ids=ROLES)
def test_a_result_that_shows_later_costs_a_trip_where_it_fails(role: Role) -> None:
    """Whoever must come back to see that it failed pays the way."""
    for repair in KNOWLEDGE.repairs.values():
        here = replace(_decided(repair, "repair_here"), parts=())
        later = remedy_for(replace(here, result_shows="next day"), role, KNOWLEDGE)
        at_once = remedy_for(replace(here, result_shows="at once"), role, KNOWLEDGE)
        assert later.right == at_once.right
        assert later.wrong - at_once.wrong == pytest.approx(role.minutes["return_trip"])


@pytest.mark.parametrize("decision", DECISIONS)
def test_only_a_repair_on_the_spot_waits_for_a_part(decision: Decision) -> None:
    """A part that is not in the van means coming back; every other decision stays what it was."""
    role = KNOWLEDGE.roles["field"]
    for repair in KNOWLEDGE.repairs.values():
        waits = decision == "repair_here" and bool(_parts(repair, in_van=False))
        wanted = "order_and_return" if waits else decision
        assert decision_for(_decided(repair, decision), role, KNOWLEDGE) == wanted


def test_what_was_brought_to_the_counter_can_be_looked_at_at_least_as_well() -> None:
    """A thing on the counter never makes an answer less likely, and nearly always gives one."""
    role = KNOWLEDGE.roles["counter"]
    brought = [check for check in KNOWLEDGE.checks.values() if check.brought]
    assert brought
    for check in brought:
        there = chance_to_say(check, role, (check.brought,) if check.brought else ())
        assert there >= max(check.known["counter"], chance_to_say(check, role, ()))
        sure = replace(check, known={**check.known, "counter": 1.0})
        unsure = replace(check, known={**check.known, "counter": 0.0})
        assert chance_to_say(sure, role, (check.brought or "",)) == 1.0
        assert chance_to_say(unsure, role, (check.brought or "",)) > 0.9


@pytest.mark.parametrize("role", [KNOWLEDGE.roles[r] for r in ROLES], ids=ROLES)
def test_handing_on_grows_with_the_work_and_with_who_must_come(role: Role) -> None:
    """By hand: ten minutes more work are ten more; an electrician instead of a technician is their difference;
    a fault the trees do not know counts as an hour of work."""
    hands_on, wired = np.array([60.0, 70.0, 0.0, 60.0]), np.array([False, False, False, True])
    plain, longer, unknown, electrician = fallbacks(hands_on, wired, role)
    assert longer - plain == pytest.approx(10)
    assert unknown == pytest.approx(plain)
    assert electrician - plain == pytest.approx(role.minutes["electrician"] - role.minutes["call_out"])
    assert plain > role.minutes["call_out"] + role.minutes["return_trip"]


@pytest.mark.parametrize("role", [KNOWLEDGE.roles[r] for r in ROLES], ids=ROLES)
def test_nobody_says_what_needs_a_thing_they_have_not(role: Role) -> None:
    """Without the thing 0, with it what the check states; what lies on the counter helps nobody elsewhere."""
    for check in KNOWLEDGE.checks.values():
        wanted = check.known[role.id] if check.needs in role.can_use else 0.0
        assert chance_to_say(check, role, ()) == wanted
        if role.id != "counter" and check.brought:
            assert chance_to_say(check, role, (check.brought,)) == wanted


@pytest.mark.parametrize("role", [KNOWLEDGE.roles[r] for r in ROLES], ids=ROLES)
def test_a_check_costs_its_own_minutes_the_question_and_the_switching(role: Role) -> None:
    """By hand from the roles file: off where it must be off, on where it must run, nothing at the counter."""
    for check in KNOWLEDGE.checks.values():
        spoken = check.minutes[role.id] + role.minutes["question"]
        away = role.id == "counter"
        off = 0.0 if away or check.plant != "isolated" else role.minutes["isolate"]
        on = 0.0 if away or check.plant != "running" else role.minutes["restore"]
        assert check_minutes(check, role, "running") == pytest.approx(spoken + off)
        assert check_minutes(check, role, "isolated") == pytest.approx(spoken + on)

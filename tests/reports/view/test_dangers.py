"""What became of a danger stands on every sheet of its job, and its words come before those of any repair below."""

from __future__ import annotations

import dataclasses
import itertools
from datetime import timedelta, timezone

import pytest

from engine.evaluation.simulate import run_call
from engine.knowledge.model import DANGER_CHECK, ROLES, RoleId
from engine.session.journal import Event
from reports.document import Audience
from reports.renderers.text import text_form
from reports.sheets.choose import sheets
from reports.view import JobView, job_view
from reports.view.dangers import shown_time
from tests.reports.jobs import AT, DATE, answers, job, opened
from tests.shipped import as_if_shipped, knowledge, models, visible_calls

SAFE, OVER = "2026-05-04T09:25:00Z", "2026-05-04T15:10:00Z"
READERS: tuple[Audience, ...] = ("customer", "technician", "shop")


def in_danger(role: RoleId, *more: Event) -> list[Event]:
    return [*opened(role, "no-output"), Event("corrected", AT, about="danger_now", value="burning_smell"), *more]


def view(*events: Event) -> JobView:
    return job_view(job(*events), DATE)


def papers(*events: Event) -> dict[Audience, str]:
    session = job(*events)
    return {reader: " ".join(text_form(sheets(session, DATE, reader)).split()) for reader in READERS}


MADE = Event("made_safe", SAFE, about="danger_now", value="burning_smell")
CLEARED = Event("danger_cleared", OVER, about="burning_smell", value="electrician", text="new socket, tested")


@pytest.mark.parametrize("role", ROLES)
def test_no_paper_says_that_it_is_safe_before_it_was_made_so(role: RoleId) -> None:
    for said in papers(*in_danger(role)).values():
        assert "The hazard is not under control yet." in said
        assert "Reported 2026-05-04 09:00 UTC." in said
    for said in papers(*in_danger(role, MADE)).values():
        assert "not under control" not in said
        assert "2026-05-04 09:25 UTC. Nobody has declared it safe yet." in said


@pytest.mark.parametrize("role", ROLES)
def test_what_was_found_stays_with_who_made_it_safe_and_when(role: RoleId) -> None:
    for reader, said in papers(*in_danger(role, MADE, CLEARED)).items():
        assert "Made safe 2026-05-04 15:10 UTC by a licensed electrician: New socket, tested." in said, reader
        assert "Nobody has declared it safe" not in said


@pytest.mark.parametrize("role", ROLES)
def test_a_danger_that_was_corrected_stands_as_reported_at_first(role: RoleId) -> None:
    undone = Event("corrected", SAFE, about="danger_now", value="none")
    for said in papers(*in_danger(role, undone)).values():
        assert "Reported at first (2026-05-04 09:00 UTC), then corrected:" in said


def test_that_the_supply_was_switched_off_is_told_and_what_it_is_now_is_not() -> None:
    """After the danger is over, and where it was corrected: nobody has switched on again."""
    undone = Event("corrected", OVER, about="danger_now", value="none")
    for last in (CLEARED, undone):
        seen = view(*in_danger("field", MADE, last))
        assert any(
            line.startswith("Supply: switched off earlier in this job; its present state is not known")
            for line in seen.advice.meanwhile
        )


@pytest.mark.parametrize("role", ROLES)
def test_where_nobody_has_looked_danger_is_asked_for_first(role: RoleId) -> None:
    mild = Event("corrected", AT, about="danger_now", value="none_known")
    seen = view(*opened(role, "no-output"), mild)
    unasked = view(*(event for event in opened(role, "no-output") if event.about != DANGER_CHECK))
    assert seen.danger == unasked.danger != ""
    plain = view(*opened(role, "no-output"))
    assert plain.danger == ""
    assert seen.danger_record == plain.danger_record == ()
    assert {line.caution for line in seen.cautions} == {line.caution for line in plain.cautions}


@pytest.mark.parametrize("danger", list(knowledge().dangers))
def test_after_a_danger_nothing_is_brought_in_whatever_repair_lies_below(danger: str) -> None:
    """Worked calls that end in something to be brought or ordered, run on behind a danger."""
    answer = next(a.id for a in knowledge().checks["danger_now"].answers if a.reports == danger)
    for call in [call for call in visible_calls() if call.role != "field"][:6]:
        facts = {**call.facts, "danger_now": answer}
        run = run_call(as_if_shipped(), dataclasses.replace(call, facts=facts))
        seen = job_view(run.session, DATE, act=run.ended)
        assert seen.decision.decision == "make_safe"
        assert (seen.actions, seen.parts) == ((), ())
        told = " ".join((seen.decision.shop, seen.decision.text, *seen.advice.come_back)).lower()
        assert "bring" not in told
        assert "box" not in told


def test_cautions_are_those_of_the_danger_gas_for_gas_and_current_for_current() -> None:
    for danger in knowledge().dangers.values():
        answer = next(a.id for a in knowledge().checks["danger_now"].answers if a.reports == danger.id)
        seen = view(*opened("phone", "no-output")[:2], *answers(danger_now=answer))
        assert [line.caution for line in seen.home.cautions] == sorted(
            danger.cautions, key=[line.caution for line in seen.home.cautions].index
        )
        electric = {"tingle_keep_out", "licensed_electrician", "isolate_and_prove_dead", "residual_current_protection"}
        gas = {"acid_never_with_chlorine", "store_apart", "gas_in_cell", "never_bypass_flow_sensor"}
        carried = {line.caution for line in (*seen.cautions, *seen.home.cautions)}
        assert carried.isdisjoint(gas if danger.kind == "electric" else electric)


@pytest.mark.parametrize(
    ("hours", "told"),
    [
        (0, "2026-05-04 21:30 UTC"),
        (2, "2026-05-04 23:30 UTC+2"),
        (-3.5, "2026-05-04 18:00 UTC-3:30"),
        (12, "2026-05-05 09:30 UTC+12"),
    ],
)
def test_a_paper_tells_the_time_of_the_clocks_here_with_their_zone(hours: float, told: str) -> None:
    assert shown_time("2026-05-04T21:30:00Z", timezone(timedelta(hours=hours))) == told


@pytest.mark.parametrize("kept", ["", "no time", "0001-01-01T00:00:00+23:00"])
def test_what_is_no_time_stands_as_it_was_kept(kept: str) -> None:
    assert shown_time(kept) == kept


@pytest.mark.parametrize("pair", list(itertools.combinations(sorted(knowledge().dangers), 2)), ids=" and ".join)
def test_of_two_dangers_the_first_steps_of_both_come_first_and_the_clerk_has_one_screen(pair: tuple[str, str]) -> None:
    """Who reads twelve steps one danger after the other stays in the gas while the pool is cleared."""
    told = [Event("danger_reported", AT, about=danger) for danger in pair]
    session = job(*opened("phone", "no-output"), *told)
    steps = job_view(session, DATE).advice.first
    each = [knowledge().dangers[danger].steps.customer for danger in pair]
    assert {steps[0], steps[1]} >= {own[0] for own in each}
    assert set(steps) == {step for own in each for step in own}
    alone = [[step for step in own if step not in {*each[0]} & {*each[1]}] for own in each]
    assert all([step for step in steps if step in own] == own for own in alone)
    (screen,), (page,) = sheets(session, DATE, "shop"), sheets(session, DATE, "customer")
    assert len(text_form((screen,)).splitlines()) <= 24
    whole = " ".join(text_form((page,)).split())
    assert all(step in whole for step in steps)


def test_a_call_that_reports_a_danger_does_not_say_that_it_was_made_safe() -> None:
    call = dataclasses.replace(visible_calls()[0], facts={DANGER_CHECK: "tingle"})
    run = run_call(models(), call)
    assert run.decided == "make_safe"
    assert not [event for event in run.session.events if event.kind == "made_safe"]
    for reader in READERS:
        assert "The hazard is not under control yet." in " ".join(text_form(sheets(run.session, DATE, reader)).split())

from __future__ import annotations

from dataclasses import replace

import pytest

from engine.session.availability import open_checks
from engine.session.journal import Event
from engine.session.models import Models
from engine.session.session import Session
from tests.shipped import knowledge, models

AT = "2026-01-02T03:04:05Z"


def answered(about: str, value: str | float) -> Event:
    return Event("answered", AT, about=about, value=value)


def opened(role: str, complaint: str, brought: str = "nothing") -> Session:
    session = Session(models())
    for event in (
        Event("opened", AT, value="job"),
        answered("role", role),
        answered("danger_now", "none"),
        answered("unit", "default"),
        answered("complaint", complaint),
        answered("brought", brought),
    ):
        session.record(event)
    return session


def test_danger_comes_before_everything_but_who_asks() -> None:
    session = Session(models())
    assert session.next().about == "role"
    session.record(answered("role", "counter"))
    act = session.next()
    assert (act.kind, act.about) == ("ask", "danger_now")


@pytest.mark.parametrize("danger", ["tingle", "burning_smell", "chlorine_smell", "water_on_electrics"])
def test_any_danger_goes_to_making_safe_and_handing_on(danger: str) -> None:
    session = Session(models(), [answered("role", "field"), answered("danger_now", danger)])
    act = session.next()
    assert act.kind == "make_safe"
    assert act.cautions == knowledge().dangers[act.about].cautions
    session.record(Event("made_safe", AT, about="danger_now"))
    act = session.next()
    assert (act.kind, act.about) == ("conclude", "make_safe")


def test_dont_know_is_never_no_danger() -> None:
    session = Session(models(), [answered("role", "phone"), Event("dont_know", AT, about="danger_now")])
    assert session.job.danger is None
    assert session.job.danger_unsaid


def test_an_unknown_unit_takes_the_default_and_says_so() -> None:
    session = Session(models(), [answered("role", "phone"), answered("danger_now", "none")])
    session.record(Event("dont_know", AT, about="unit"))
    assert session.unit.id == "default"
    assert session.job.unit_assumed


def test_going_back_undoes_the_last_answer_only() -> None:
    session = opened("counter", "low-salt")
    before = session.next()
    session.record(answered("salt_added", "within_a_day"))
    session.record(Event("taken_back", AT))
    assert session.next() == before
    assert "salt_added" not in session.job.answers


def test_cant_rules_out_every_check_with_the_same_need() -> None:
    session = opened("field", "supply-fault")
    session.record(Event("cant", AT, about="cell_voltage", reason="no meter"))
    offered = {a.check for a in session.appraise()}
    assert not {c for c in offered if knowledge().checks[c].needs == "meter"}
    assert session.job.barred == {"meter": "no meter"}


def test_the_supply_is_isolated_before_a_look_inside_and_once_for_several() -> None:
    session = opened("field", "no-output")
    assert session.act_for("cell_lead").kind == "isolate"
    session.record(Event("made_safe", AT, about="cell_lead"))
    assert session.act_for("cell_lead").kind == "ask"
    assert session.act_for("flow_sensor_look").kind == "ask"
    assert session.act_for("cell_voltage").kind == "switch_on"


def test_a_shop_does_not_isolate_a_cell_on_its_counter() -> None:
    session = opened("counter", "low-salt", "cell")
    assert session.act_for("cell_plates").kind == "ask"


def test_a_repair_that_did_not_help_speaks_against_its_cause_and_makes_readings_stale() -> None:
    session = opened("field", "low-salt")
    for event in (answered("salt_added", "not_lately"), answered("tested_salt", 3500.0), answered("unit_salt", 2300.0)):
        session.record(event)
    before = session.marginals()["cell_scaled"]
    session.record(Event("repaired", AT, about="acid_clean", value="done"))
    assert session.next().kind == "verify"
    session.record(Event("verified", AT, about="acid_clean", value="not_helped"))
    assert session.marginals()["cell_scaled"] < before / 2
    assert "unit_salt" not in session.job.answers
    assert all(share.remedy.repair != "acid_clean" for share in session.remedies())


def test_what_was_read_before_a_repair_that_did_not_help_goes_on_speaking_until_it_is_read_anew() -> None:
    """A gauge far over clean excludes air on the suction side; sealing that side for nothing does not unsay it."""
    session = opened("phone", "flow-fault")
    session.record(answered("air_in_cell", "some_bubbles"))
    session.record(answered("filter_pressure_rise", 65.0))
    before = session.marginals()
    session.record(Event("repaired", AT, about="seal_suction", value="done"))
    session.record(Event("verified", AT, about="seal_suction", value="not_helped"))
    assert "filter_pressure_rise" not in session.job.answers
    after = session.marginals()
    assert after["air_leak"] < before["air_leak"]
    session.record(answered("filter_pressure_rise", 5.0))
    assert session.marginals()["filter_dirty"] < after["filter_dirty"]


def test_a_repair_that_an_answer_makes_pointless_gives_way_to_the_causes_others() -> None:
    without = replace(knowledge().repairs["clean_flow_sensor"], pointless_if={"valves": ("as_usual",)})
    assert without.cures.keys() == {"flow_sensor_fouled"}
    models = Models(replace(knowledge(), repairs={**knowledge().repairs, without.id: without}))
    session = Session(models, opened("field", "flow-fault").events)
    session.record(answered("pump_running", "running"))
    named = {remedy.repair for remedy in session.planner.remedies}
    session.record(answered("valves", "as_usual"))
    assert {remedy.repair for remedy in session.planner.remedies} == named - {"clean_flow_sensor"}


def test_a_pump_that_hums_is_left_off_for_a_technician_and_nobody_is_told_to_switch_it_on() -> None:
    """A motor that hums and does not turn burns within minutes. Common practice, no source."""
    session = opened("phone", "flow-fault")
    for about, value in (("pump_running", "stopped"), ("just_before", "nothing"), ("pump_start", "hums")):
        session.record(answered(about, value))
    act = session.conclude()
    assert act.about == "send_technician"
    assert "owner" not in knowledge().repairs[act.repair or ""].who


def test_no_volts_are_no_missing_reversal() -> None:
    """A dead output never reverses: by definition. So it is the pack, and a pack that works is not blamed for it."""
    session = opened("field", "no-output")
    session.record(answered("polarity_change", "never_reverses"))
    session.record(answered("cell_voltage", 0.0))
    found = session.marginals()
    assert found["power_pack_failed"] > 10 * found["polarity_fixed"]


def test_a_gauge_far_over_clean_excludes_air_on_the_suction_side() -> None:
    """Air on the suction side takes from the flow ahead of the filter, so it cannot raise the gauge: hydraulics."""
    session = opened("field", "flow-fault")
    session.record(answered("air_in_cell", "large_pocket"))
    session.record(answered("filter_pressure_rise", 55.0))
    sides = {("air_leak",), ("prime_lost",), ("pump_speed_low",), ("strainer_blocked",)}
    alone = {causes: share for causes, share in session.hypotheses() if causes in sides}
    assert sum(alone.values()) < 0.1


def test_what_a_repair_waits_for_is_looked_at_before_it_is_left_to_somebody_else() -> None:
    repair = replace(knowledge().repairs["clean_filter"], waits_for=("baskets", "pack_inside"))
    models = Models(replace(knowledge(), repairs={**knowledge().repairs, repair.id: repair}))
    session = Session(models, opened("phone", "flow-fault").events)
    for said in (
        answered("pump_running", "running"),
        answered("return_flow", "weak"),
        answered("filter_pressure_rise", 70.0),
    ):
        session.record(said)
    asked = []
    while (act := session.next()).kind == "ask":
        asked.append(act.about)
        session.record(Event("dont_know", AT, about=act.about))
    assert (act.kind, act.repair) == ("conclude", "clean_filter")
    # Nobody opens a pack on the phone.
    assert "baskets" in asked
    assert "pack_inside" not in asked


def test_a_repair_that_helped_ends_the_job() -> None:
    session = opened("field", "low-salt")
    session.record(Event("repaired", AT, about="acid_clean", value="done"))
    session.record(Event("verified", AT, about="acid_clean", value="helped"))
    act = session.next()
    assert (act.kind, act.why, act.repair) == ("conclude", "solved", "acid_clean")


def test_what_helped_tells_what_was_wrong_whatever_is_measured_afterwards() -> None:
    session = opened("field", "low-salt")
    seen: dict[str, str | float] = {"tested_salt": 3500.0, "unit_salt": 2300.0, "cell_plates": "white_scale"}
    for event in (answered(about, value) for about, value in seen.items()):
        session.record(event)
    found = {item.id for item in session.evidence}
    session.record(Event("repaired", AT, about="acid_clean", value="done"))
    session.record(Event("verified", AT, about="acid_clean", value="helped"))
    session.record(answered("cell_plates", "clean"))
    assert {item.id for item in session.evidence} == found
    cured = {cause for cause, share in knowledge().repairs["acid_clean"].cures.items() if share > 0}
    assert all(set(causes) <= cured for causes, share in session.hypotheses() if share > 1e-12)
    assert next(iter(session.marginals())) == "cell_scaled"


@pytest.mark.parametrize(
    "event",
    [
        answered("role", "boss"),
        answered("complaint", "no-fun"),
        answered("colour", "blue"),
        answered("ph", 99.0),
        answered("ph", "seven"),
        answered("unit_power", "bright"),
        Event("repaired", AT, about="magic", value="done"),
    ],
)
def test_what_the_knowledge_does_not_know_is_refused_and_changes_nothing(event: Event) -> None:
    session = opened("counter", "low-salt")
    before = list(session.events)
    with pytest.raises(ValueError, match=r"is not"):
        session.record(event)
    assert session.events == before


def test_what_is_done_later_is_neither_asked_nor_unknown_and_waits() -> None:
    session = opened("field", "supply-fault")
    first = session.next().about
    session.record(Event("deferred", AT, about=first, text="tomorrow"))
    assert session.next().about != first
    assert session.job.waiting == {first: "tomorrow"}
    assert first not in session.job.unknown
    assert first not in session.job.cannot
    assert first not in {appraisal.check for appraisal in (*session.appraise(), *session.would_help())}
    (waits,) = session.waiting()
    assert (waits.kind, waits.about, waits.when) == ("check", first, "tomorrow")


def test_the_longer_a_wait_is_worth_in_the_roles_file_the_less_waiting_pays() -> None:
    found = []
    for minutes in (0.0, 15.0, 200.0):
        role = replace(knowledge().roles["field"], minutes={**knowledge().roles["field"].minutes, "wait": minutes})
        whole = Models(replace(knowledge(), roles={**knowledge().roles, "field": role}))
        session = Session(whole, opened("field", "supply-fault").events)
        session.record(Event("deferred", AT, about="breaker"))
        (waits,) = session.waiting()
        assert waits.worth is not None
        found.append(waits.worth)
    assert found[0] - found[1] == pytest.approx(15.0)
    assert found[1] - found[2] == pytest.approx(185.0)


def test_any_later_word_ends_the_wait_and_going_back_restores_it() -> None:
    for event in (
        answered("ph", 7.4),
        Event("dont_know", AT, about="ph"),
        Event("cant", AT, about="ph", reason="no kit"),
    ):
        session = opened("field", "no-output")
        session.record(Event("deferred", AT, about="ph"))
        session.record(event)
        assert session.job.waiting == {}
        session.record(Event("taken_back", AT))
        assert list(session.job.waiting) == ["ph"]


def test_a_repair_done_later_is_not_proposed_again_and_its_outcome_is_taken() -> None:
    session = opened("counter", "low-salt")
    session.record(Event("deferred", AT, about="add_salt", text="saturday"))
    assert [(waits.kind, waits.when) for waits in session.waiting()] == [("repair", "saturday")]
    assert session.act_for("add_salt").kind == "perform"
    session.record(Event("repaired", AT, about="add_salt", value="done"))
    assert session.next().kind == "verify"
    session.record(Event("deferred", AT, about="add_salt", text="in a day"))
    assert [waits.kind for waits in session.waiting()] == ["result"]
    act = session.next()
    assert (act.kind, act.repair, act.why) == ("conclude", "add_salt", "waiting")
    session.record(Event("verified", AT, about="add_salt", value="helped"))
    assert session.job.waiting == {}
    assert session.next().why == "solved"


def test_what_was_ruled_out_with_its_need_is_open_again_once_lifted() -> None:
    session = opened("field", "supply-fault")
    before = {appraisal.check for appraisal in session.appraise()}
    session.record(Event("cant", AT, about="cell_voltage", reason="no meter"))
    session.record(Event("cant", AT, about="cell_current", reason="no meter"))
    ruled_out = before - {appraisal.check for appraisal in session.appraise()}
    assert {knowledge().checks[check].needs for check in ruled_out} == {"meter"}
    session.record(Event("lifted", AT, about="cell_current"))
    assert session.job.barred == {}
    assert session.job.cannot == {}
    assert {appraisal.check for appraisal in session.appraise()} == before
    session.record(Event("taken_back", AT))
    assert session.job.barred == {"meter": "no meter"}


def test_a_repair_that_could_not_be_done_is_open_again_once_lifted() -> None:
    session = opened("field", "low-salt")
    session.record(Event("repaired", AT, about="acid_clean", value="could_not", reason="no acid"))
    session.record(Event("lifted", AT, about="acid_clean"))
    assert session.job.repaired == {}


@pytest.mark.parametrize("about", ["danger_now", "role", "magic", ""])
def test_only_checks_and_repairs_can_wait_and_danger_cannot(about: str) -> None:
    with pytest.raises(ValueError, match="can wait"):
        opened("field", "low-salt").record(Event("deferred", AT, about=about))


def test_a_second_fault_is_looked_for_after_a_repair_that_cured_only_the_first() -> None:
    session = opened("field", "low-salt")
    session.record(answered("cell_plates", "white_scale"))
    session.record(answered("tested_salt", 1500.0))
    session.record(Event("repaired", AT, about="acid_clean", value="done"))
    session.record(Event("verified", AT, about="acid_clean", value="not_helped"))
    assert next(iter(session.marginals())) == "salt_low"
    assert session.next().kind != "conclude"


def test_nobody_is_asked_more_than_the_limit_for_an_amount_either() -> None:
    at, limit = "2026-05-04T09:30:00Z", knowledge().roles["counter"].limit
    start = {"role": "counter", "danger_now": "none", "complaint": "low-salt", "brought": "water_sample"}
    said = [Event("answered", at, about=about, value=value) for about, value in start.items()]
    said += [Event("answered", at, about="tested_salt", value=800.0)]
    session = Session(models(), said)
    others = [name for name in open_checks(knowledge(), session.job) if name != "pool_volume"]
    for name in others[: limit - 1]:
        before = session.next(wanted=())
        session.record(Event("dont_know", at, about=name))
    assert before.kind == "ask"
    assert len(session.job.asked) == limit
    act = session.next(wanted=())
    # The salt is sold by the pool's volume, which is not known.
    assert act.kind == "conclude"
    assert "pool_volume" in knowledge().repairs[str(act.repair)].amount_from

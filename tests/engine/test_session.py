from __future__ import annotations

import pytest

from engine.journal import Event
from engine.session import Session
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
    assert "tingle_keep_out" in act.cautions
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


def test_a_repair_that_helped_ends_the_job() -> None:
    session = opened("field", "low-salt")
    session.record(Event("repaired", AT, about="acid_clean", value="done"))
    session.record(Event("verified", AT, about="acid_clean", value="helped"))
    act = session.next()
    assert (act.kind, act.why, act.repair) == ("conclude", "solved", "acid_clean")


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

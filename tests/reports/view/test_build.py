"""What a sheet says of a job: each part of the view, on jobs recorded by hand and on worked calls."""

from __future__ import annotations

import subprocess
import sys

import pytest

from engine.knowledge.model import ROLES, SIGNALS, RoleId
from engine.knowledge.properties import DECISIONS
from engine.session.acts import Act
from engine.session.journal import Event
from reports.phrases import Reader
from reports.view import job_view
from reports.view.decisions import decided_words
from reports.view.model import JobView
from tests.paper_rules import Belongs
from tests.paper_tables import CHECKS
from tests.reports.jobs import AT, DATE, answers, called, job, opened
from tests.shipped import as_if_shipped, knowledge

KNOWLEDGE = knowledge()
READERS: tuple[Reader, ...] = ("customer", "technician")
ACID = ("acid_never_with_chlorine", "acid_into_water", "splash_protection", "store_apart")


def view(*events: Event) -> JobView:
    return job_view(job(*events), DATE)


def cautions(seen: JobView) -> set[str]:
    return {line.caution for line in seen.cautions}


def lines(seen: JobView) -> set[str]:
    return {line.caution for line in seen.in_a_line}


def told(seen: JobView) -> str:
    return " ".join((*seen.advice.first, *seen.advice.meanwhile, *seen.advice.hands_off, *seen.advice.come_back))


SCALED = [*opened("field", "low-salt"), *answers(tested_salt=3400.0, unit_salt=2400.0, cell_plates="white_scale")]


def test_the_head_names_the_job_and_the_knowledge_it_was_judged_with() -> None:
    head = view(*opened("counter", "low-salt", brought="water_sample+cell")).head
    assert (head.date, head.job, head.role) == (DATE, "job-7", "Shop counter")
    assert head.brought == ("a water sample", "the cell")
    assert head.complaint == KNOWLEDGE.trees["low-salt"].wording.customer
    assert head.knowledge == as_if_shipped().knowledge.fingerprint
    assert (head.opened, head.unit_assumed) == ("", False)


def test_a_unit_that_nobody_knew_is_said_to_be_assumed() -> None:
    events = [event for event in opened("field", "low-salt") if event.about != "unit"]
    assert view(*events[:3], Event("dont_know", AT, about="unit"), *events[3:]).head.unit_assumed


def test_a_job_opened_with_other_knowledge_says_which() -> None:
    assert view(Event("opened", AT, value="j", text="feedfacecafe")).head.opened == "feedfacecafe"


def test_causes_are_ranked_with_the_answers_for_and_against() -> None:
    seen = view(*SCALED)
    assert seen.causes[0].cause == "cell_scaled"
    assert seen.causes[0].chance in ("very likely", "nearly certain")
    heaviest = seen.causes[0].speaks_for[0]
    assert "white scale" in heaviest.said
    assert [w.decibans for w in seen.causes[0].speaks_for] == sorted(w.decibans for w in seen.causes[0].speaks_for)[
        ::-1
    ]
    against = [weight.decibans for line in seen.causes for weight in line.speaks_against]
    assert against
    assert max(against) <= -1


def test_something_else_is_ranked_only_above_two_per_cent() -> None:
    for name in ("unheated pool in midwinter", "second-hand unit on a large pool"):
        session = called(name)
        other = dict(session.hypotheses())[()]
        lines = [line for line in job_view(session, DATE).causes if line.cause == ""]
        assert [line.probability for line in lines] == ([other] if other > 0.02 else [])


def test_two_faults_at_once_are_named_and_both_are_worked_on() -> None:
    seen = job_view(called("cell in a bucket and a bottle of pool water"), DATE)
    assert seen.together
    assert {action.repair for action in seen.actions[:2]} == {"acid_clean", "add_salt"}
    assert [action.when for action in seen.actions[:2]] == ["first", "also"]
    salt = next(part for part in seen.parts if part.part == "salt")
    assert not salt.later


def test_answers_that_hardly_go_together_are_to_be_checked_again() -> None:
    # A gauge far above its clean reading is a choked pressure side; a pump that runs dry has nothing to press with.
    odd = answers(filter_pressure_rise=180.0, pump_start="starts", return_flow="none", prime="half_or_empty")
    seen = view(*opened("field", "flow-fault"), *odd)
    assert seen.conflict is not None
    assert seen.conflict.times_rarer > 5
    assert any("180 kPa" in line for line in seen.conflict.again)


def test_work_stands_in_order_with_who_minutes_and_steps() -> None:
    first = view(*SCALED).actions[0]
    clean = KNOWLEDGE.repairs["acid_clean"]
    assert (first.repair, first.minutes, first.who) == ("acid_clean", clean.minutes, ("technician",))
    assert first.plant == "isolated"
    assert len(first.steps) == 9
    assert first.steps[0] == clean.steps.technician[0]


def test_a_repair_that_is_done_and_did_not_help_is_not_laid_out_again() -> None:
    tried = [
        Event("repaired", AT, about="acid_clean", value="done"),
        Event("verified", AT, about="acid_clean", value="not_helped"),
    ]
    seen = view(*SCALED, *tried)
    assert "acid_clean" not in [action.repair for action in seen.actions]
    assert [(line.repair, line.verified) for line in seen.done] == [("acid_clean", "It did not help.")]
    assert not {"acid_into_water", "spent_acid"} & (cautions(seen) | lines(seen)), "what is over warns no more"


def test_a_solved_job_says_what_helped_and_what_was_believed_before() -> None:
    helped = [
        Event("repaired", AT, about="acid_clean", value="done"),
        Event("verified", AT, about="acid_clean", value="helped"),
    ]
    seen = view(*SCALED, *helped, *answers(cell_current=18.5), Event("closed", AT, value="repair_here"))
    assert seen.solved
    assert seen.actions == ()
    assert seen.causes[0].cause == "cell_scaled"
    assert [(line.check, line.left) for line in seen.found][-1] == ("cell_current", True)
    assert seen.decision.decision == "repair_here"
    assert "6 May" in told(seen)
    assert any("Acid" in line for line in seen.advice.local_code)


def test_a_result_that_shows_later_brings_the_owner_back() -> None:
    events = [*opened("field", "low-salt"), *answers(tested_salt=2300.0, unit_salt=2250.0)]
    events += [
        Event("repaired", AT, about="add_salt", value="done"),
        Event("verified", AT, about="add_salt", value="later"),
    ]
    seen = view(*events)
    assert not seen.solved
    assert [line.verified for line in seen.done] == ["The result will only show later."]
    assert "5 May" in told(seen)


def test_what_could_not_be_done_keeps_its_reason() -> None:
    cant = Event("cant", AT, about="cell_current", reason="meter \x1b[1mleft\x1b[0m at home")
    failed = Event("repaired", AT, about="acid_clean", value="could_not", reason="union seized")
    reasons = {line.reason for line in view(*SCALED, cant, failed).not_done}
    assert reasons == {"Meter [1mleft[0m at home.", "Union seized."}


def test_what_was_not_known_and_would_help_is_told_with_how() -> None:
    seen = view(
        *opened("phone", "low-salt"), *(Event("dont_know", AT, about=c) for c in ("tested_salt", "bather_load"))
    )
    assert seen.would_help[0].check == "tested_salt"
    assert seen.would_help[0].how == KNOWLEDGE.checks["tested_salt"].how.customer
    assert len(seen.not_known) == 2


def test_a_job_cut_short_says_what_is_uncertain() -> None:
    seen = view(*opened("phone", "no-output"), Event("closed", AT))
    assert seen.cut_short
    assert seen.decision.decision in DECISIONS
    assert view(*opened("phone", "no-output")[:3]).decision.decision == ""


def test_checks_that_a_job_cut_short_leaves_open_bring_their_cautions() -> None:
    """Which check is asked next is the strategy's business; whatever it is, the technician's sheet tells of it."""
    owed: set[str] = set()
    for tree in KNOWLEDGE.trees:
        seen = view(*opened("field", tree, brought="cell"))
        named = [c.id for c in KNOWLEDGE.checks.values() if c.wording.technician in " ".join(seen.cut_short)]
        due = Belongs()
        for check in named:
            due.add(CHECKS.get(check, ""), a_line_will_do=True)
        assert not due.missing(cautions(seen), lines(seen))
        owed |= due.told
    assert owed, "no check that was left open has a caution, so nothing was tried"


def test_a_front_end_may_hand_in_the_conclusion_it_was_given() -> None:
    act = Act("conclude", "send_technician", repair="recalibrate_salt", why="limit")
    seen = job_view(job(*opened("counter", "low-salt")), DATE, act=act)
    assert (seen.decision.decision, seen.actions[0].repair) == ("send_technician", "recalibrate_salt")
    assert not seen.cut_short


def test_a_decision_by_the_person_wins_and_keeps_its_reason() -> None:
    closing = Event("handed_on", AT, value="send_technician", reason="owner wants somebody to come")
    seen = view(*opened("counter", "low-salt"), *answers(tested_salt=2300.0), closing)
    assert seen.decision.decision == "send_technician"
    assert seen.decision.why[0] == "Said on closing: Owner wants somebody to come."


def in_danger(role: RoleId, danger: str, *more: Event) -> JobView:
    """The sheet of a job in danger, in the words of a role."""
    said = [Event("answered", AT, about="role", value=role), Event("answered", AT, about="danger_now", value=danger)]
    return view(Event("opened", AT, value="j"), *said, *more)


@pytest.mark.parametrize("danger", list(KNOWLEDGE.dangers))
@pytest.mark.parametrize("role", ["counter", "phone", "field"])
def test_danger_stands_alone_and_first(danger: str, role: RoleId) -> None:
    for more in ([], [Event("made_safe", AT, about="danger_now")]):
        seen = in_danger(role, danger, *more)
        assert seen.decision.decision == "make_safe"
        assert len(seen.advice.first) >= 4
        assert (seen.actions, seen.causes, seen.parts) == ((), (), ())
        assert cautions(seen) == set(KNOWLEDGE.dangers[danger].cautions)
        assert seen.keep_away


def test_every_danger_of_the_catalogue_has_its_own_steps() -> None:
    for role in ROLES:
        steps = {in_danger(role, danger).advice.first for danger in KNOWLEDGE.dangers}
        assert len(steps) == len(KNOWLEDGE.dangers)
        assert len({in_danger(role, danger).danger for danger in KNOWLEDGE.dangers}) == len(KNOWLEDGE.dangers)


def test_danger_that_nobody_could_rule_out_is_not_taken_as_none() -> None:
    unsaid = [
        e if e.about != "danger_now" else Event("dont_know", AT, about="danger_now")
        for e in opened("phone", "low-salt")
    ]
    assert view(*unsaid).danger
    assert not view(*opened("phone", "low-salt")).danger


def test_every_decision_of_the_contract_has_its_words() -> None:
    for reader in READERS:
        titles = {decided_words(decision, reader).title for decision in (*DECISIONS, "")}
        assert len(titles) == len(DECISIONS) + 1


def test_cautions_run_from_the_gravest_and_stand_once() -> None:
    lines = job_view(called("dirty filter and mud on the sensor"), DATE).cautions
    ranks = [SIGNALS.index(line.signal) for line in lines]
    assert ranks == sorted(ranks)
    assert len({line.caution for line in lines}) == len(lines)


def test_acid_on_the_sheet_brings_all_its_cautions_and_the_local_rules() -> None:
    seen = view(*SCALED)
    boxes, told = cautions(seen), cautions(seen) | lines(seen)
    assert {*ACID, "spent_acid", "store_apart"} <= told
    assert {"acid_never_with_chlorine", "acid_into_water", "splash_protection"} <= boxes
    assert any("cid" in line for line in seen.advice.local_code)


def test_mains_on_the_sheet_defer_to_the_licensed_electrician() -> None:
    seen = view(*opened("counter", "supply-fault"), *answers(breaker="trips_again", unit_power="dark"))
    assert seen.decision.decision == "call_electrician"
    assert {"licensed_electrician", "tingle_keep_out"} <= cautions(seen)
    assert any("licensed electrician" in line for line in seen.advice.local_code)
    assert seen.keep_away
    assert "chlorine_for_hand_dosing" not in [part.part for part in seen.parts]
    assert "Keep everyone out of the water" in seen.advice.meanwhile[0]


def test_a_plant_that_is_off_says_how_it_was_made_so() -> None:
    off = [*opened("field", "low-salt"), Event("made_safe", AT, about="cell_lead")]
    assert "isolate_and_prove_dead" in cautions(view(*off))


def test_a_pool_without_chlorine_is_not_for_swimming() -> None:
    assert "No swimming until" in told(view(*opened("counter", "low-salt"), *answers(tested_salt=2300.0)))
    assert "No chlorine, no swimming" in told(view(*SCALED))


def test_a_bleached_test_stops_all_dosing() -> None:
    seen = job_view(called("superchlorinated three days running, test stays colourless"), DATE)
    assert "Add no more" in told(seen)
    assert "chlorine_for_hand_dosing" not in [part.part for part in seen.parts]
    assert {"bleached_test", "swimmers_out"} <= {line.caution for line in seen.home.cautions}


def test_chlorine_is_not_dosed_where_the_pump_stands_still() -> None:
    seen = view(*opened("phone", "flow-fault"), *answers(pump_running="stopped"))
    assert "pump is stopped" in told(seen)
    assert "chlorine_for_hand_dosing" not in [part.part for part in seen.parts]


def test_a_job_closed_after_a_repair_that_did_not_help_says_so() -> None:
    found = [*opened("field", "no-output"), *answers(cell_plates="white_scale", tested_salt=3400.0)]
    failed = [Event("repaired", AT, about="acid_clean", value="done")]
    failed += [Event("verified", AT, about="acid_clean", value="not_helped"), Event("closed", AT, value="repair_here")]
    for voice in ("counter", "field"):
        assert "did not help" in job_view(job(*found, *failed), DATE, voice=voice).advice.opening
        going_on = job_view(job(*found), DATE, voice=voice)
        assert "did not help" not in going_on.advice.opening


def test_a_strong_dose_is_the_only_dose() -> None:
    seen = job_view(called("pond green after rain, nothing left of the stabiliser"), DATE)
    assert "Add no other chlorine by hand" in told(seen)
    assert {"floor_visible", "swimmers_out"} <= {line.caution for line in seen.home.cautions}
    assert [part.part for part in seen.parts].count("chlorine_for_hand_dosing") == 1


def test_a_cell_brought_in_comes_with_a_dummy_spool() -> None:
    seen = job_view(called("two bags later it still wants salt"), DATE)
    assert seen.decision.decision == "bring_cell"
    assert "dummy_spool" in [part.part for part in seen.parts]
    assert "spacer pipe" in seen.decision.text
    looked = [*answers(salt_added="not_lately", tested_salt=3500.0, unit_salt=2300.0, cell_plates="white_scale")]
    here = view(*opened("counter", "low-salt", brought="cell"), *looked)
    assert here.decision.title == "The cell is here, at the shop"


def test_a_part_that_is_not_in_the_van_is_ordered_by_its_plate() -> None:
    seen = job_view(called("burnt smell, black board"), DATE)
    assert seen.decision.decision == "order_and_return"
    pack = next(part for part in seen.parts if part.part == "power_pack")
    assert pack.source == "order"
    assert pack.before_ordering == KNOWLEDGE.parts["power_pack"].before_ordering


def test_a_dose_whose_volume_is_missing_is_not_sold_blindly() -> None:
    seen = view(*opened("counter", "low-salt"), *answers(tested_salt=2300.0, unit_salt=2200.0))
    salt = next(part for part in seen.parts if part.part == "salt")
    assert salt.source == "sell when the amount is known"
    known = view(*opened("counter", "low-salt"), *answers(tested_salt=2300.0, unit_salt=2200.0, pool_volume=40.0))
    assert next(part for part in known.parts if part.part == "salt").source == "sell now"


def test_a_customer_is_told_what_not_to_touch() -> None:
    seen = view(*opened("counter", "low-salt"), *answers(tested_salt=3400.0, cell_lead="burnt"))
    assert "technician will come" in seen.advice.opening
    assert any("boxes with wires" in line for line in seen.advice.hands_off)


@pytest.mark.e2e
def test_the_view_needs_no_template_library() -> None:
    code = "import sys, reports.view, reports.text_layout, reports.phrases; sys.exit('jinja2' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_before_any_answer_the_complaint_alone_ranks() -> None:
    unsaid = Event("dont_know", AT, about="danger_now")
    seen = view(*(event if event.about != "danger_now" else unsaid for event in opened("phone", "cold-water")))
    shares = KNOWLEDGE.trees["cold-water"].singles
    assert seen.causes[0].cause == max(shares, key=lambda cause: shares[cause])
    assert all(not line.speaks_for and not line.speaks_against for line in seen.causes)


OUT_OF_RANGE = {"ph": (6.6, 8.4), "alkalinity": (30, 220), "hardness": (60, 700)}
"""Far outside what is right: pH 7.2 to 7.8, alkalinity from 60, hardness from 150 (Montana ARM 37.115.1308)."""


RIGHT = {"ph": 7.5, "alkalinity": 100.0, "hardness": 250.0, "tested_salt": 3500.0}


@pytest.mark.parametrize("role", ["counter", "field"])
@pytest.mark.parametrize("check", OUT_OF_RANGE)
def test_a_test_of_the_water_that_is_out_of_range_has_its_line_and_no_other_has(role: RoleId, check: str) -> None:
    beside = answers(water_look="clear", free_chlorine=0.6, stabiliser=40.0, output_setting=20.0, run_hours=4.0)

    def meanwhile(value: float) -> set[str]:
        tests = answers(**{**RIGHT, check: value})
        return set(view(*opened(role, "no-output"), *beside, *tests).advice.meanwhile)

    usual = meanwhile(RIGHT[check])
    low, high = (meanwhile(value) - usual for value in OUT_OF_RANGE[check])
    assert (len(low), len(high)) == (1, 1)
    for value, lines in zip(OUT_OF_RANGE[check], (low, high), strict=True):
        assert f"{value:g}" in "".join(lines)

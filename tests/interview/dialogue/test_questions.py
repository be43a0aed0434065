"""Acts of the session as questions."""

from __future__ import annotations

import pytest

from engine.knowledge.model import DANGER_CHECK, ROLES, RoleId
from engine.session.acts import Act
from engine.session.journal import Event
from engine.session.session import Session
from interview.dialogue.questions import conclusion, question_for
from interview.dialogue.standing import progress_line, ranked, standing_line, title
from tests.interview.people import opened
from tests.shipped import knowledge, models

AT = "2026-05-04T09:30:00Z"


def session(role: str = "field", **said: str) -> Session:
    begun = {"role": role, "danger_now": "none", "unit": "default", "complaint": "no-output", "brought": "nothing"}
    return opened(Session(models()), *{**begun, **said}.items())


def test_no_ranking_is_shown_before_there_is_evidence() -> None:
    begun = session()
    assert standing_line(begun) == ""
    assert ranked(begun) == ()
    begun.record(Event("answered", AT, about="cell_plates", value="white_scale"))
    assert standing_line(begun).startswith("So far: ")
    assert ranked(begun)[0].causes == ("cell_scaled",)


@pytest.mark.parametrize("role", ROLES)
def test_every_check_becomes_a_question_in_the_words_of_the_role(role: RoleId) -> None:
    begun = session(role)
    for check in knowledge().checks.values():
        question = question_for(begun, Act("ask", check.id, check.work.cautions.technician))
        assert question.text == check.wording.for_role(role)
        assert question.how == check.how.for_role(role)
        assert bool(question.measure) == check.is_number
        assert [choice.id for choice in question.choices] == ([] if check.is_number else [a.id for a in check.answers])


def test_danger_cannot_be_passed_by() -> None:
    question = question_for(Session(models()), Act("ask", "danger_now", ("tingle_keep_out",)))
    assert question.cautions == ()
    assert not question.may_fail
    assert "as if there might be danger" in question.unknown


def test_what_a_unit_reports_is_said_in_its_own_sentences_unless_the_unit_is_a_guess() -> None:
    known = question_for(session(unit="tells_little"), Act("ask", "unit_report"))
    assert [choice.more for choice in known.choices] == [
        knowledge().units["tells_little"].reports[choice.id] for choice in known.choices
    ]
    guessed = opened(Session(models()), ("role", "field"), ("danger_now", "none"))
    guessed.record(Event("dont_know", AT, about="unit"))
    guessed.record(Event("answered", AT, about="complaint", value="no-output"))
    assert not any(choice.more for choice in question_for(guessed, Act("ask", "unit_report")).choices)


def test_the_default_unit_is_named_where_dont_know_takes_it() -> None:
    begun = opened(Session(models()), ("role", "field"), ("danger_now", "none"))
    question = question_for(begun, begun.next())
    assert question.about == "unit"
    assert knowledge().units["default"].wording.technician in question.unknown


@pytest.mark.parametrize(("role", "confirms"), [("field", True), ("phone", False), ("counter", False)])
def test_whoever_does_the_work_confirms_its_cautions(role: str, confirms: bool) -> None:
    question = question_for(session(role), Act("ask", "supply_voltage", ("licensed_electrician",)))
    assert question.confirm_cautions is confirms
    assert [caution.id for caution in question.cautions] == ["licensed_electrician"]
    assert question.cautions[0].signal == "DANGER"


def test_switching_says_what_for_and_can_fail() -> None:
    question = question_for(session(), Act("isolate", "cell_plates", ("isolate_and_prove_dead",)))
    assert question.kind == "confirm"
    assert question.may_fail
    assert knowledge().checks["cell_plates"].wording.technician in question.details[0]
    assert question.cautions


def test_a_repair_is_shown_with_steps_minutes_parts_and_cautions() -> None:
    repair = knowledge().repairs["acid_clean"]
    question = question_for(
        session(), Act("perform", "acid_clean", repair.work.cautions.technician, repair="acid_clean")
    )
    shown = " ".join(question.details)
    assert f"{repair.minutes:g} minutes" in shown
    assert all(knowledge().parts[need.part].wording.technician in shown for need in repair.parts)
    assert [caution.id for caution in question.cautions] == list(repair.work.cautions.technician)
    assert question.confirm_cautions


def test_every_repair_can_be_performed_and_verified_by_every_role() -> None:
    for role in ROLES:
        begun = session(role)
        for repair in knowledge().repairs.values():
            assert question_for(
                begun, Act("perform", repair.id, repair.work.cautions.technician, repair=repair.id)
            ).details
            assert [c.id for c in question_for(begun, Act("verify", repair.id)).choices] == [
                "helped",
                "not_helped",
                "later",
            ]


def test_progress_counts_checks_up_to_the_limit_of_the_role() -> None:
    begun = session("counter")
    limit = knowledge().roles["counter"].limit
    assert progress_line(begun, counted=True) == f"Question 1 of at most {limit}."
    begun.record(Event("dont_know", AT, about="cell_plates"))
    assert progress_line(begun, counted=True) == f"Question 2 of at most {limit}."


def test_a_danger_not_ruled_out_and_a_supply_that_is_off_stay_in_view() -> None:
    begun = opened(Session(models()), ("role", "field"))
    begun.record(Event("dont_know", AT, about="danger_now"))
    begun.record(Event("made_safe", AT, about="cell_plates"))
    assert progress_line(begun) == "Danger has not been ruled out. The supply is off."


def test_a_conclusion_is_no_question_but_closing_is() -> None:
    with pytest.raises(ValueError, match="conclusion"):
        question_for(session(), Act("conclude", "wait"))
    ended = conclusion(session(), "Repaired.", "repair_here")
    assert [choice.id for choice in ended.choices] == ["close", "keep"]


def test_only_what_can_be_taken_back_is_answered_by_one_key() -> None:
    field = session("field")
    harmless = {
        act: question_for(field, Act(*act)).harmless
        for act in (
            ("ask", "cell_plates"),
            ("ask", DANGER_CHECK),
            ("isolate", "cell_plates"),
            ("perform", "acid_clean"),
            ("verify", "acid_clean"),
        )
    }
    assert [act for act, is_so in harmless.items() if is_so] == [("ask", "cell_plates")]
    assert not conclusion(field, "Done.", "repair_here").harmless


@pytest.mark.parametrize("about", ["danger_now", "role", "brought", "tingle", "no_such_thing"])
def test_everything_that_can_be_taken_back_has_a_title(about: str) -> None:
    session = opened(Session(models()), ("role", "field"))
    assert title(session, about)
    assert "_" not in title(session, about)


def test_a_job_whose_role_is_not_known_any_more_can_be_closed() -> None:
    """An older job may name a role that there is no more: its complaint stands all the same."""
    session = opened(Session(models()), ("complaint", "no-output"))
    question = conclusion(session, "Made safe.", "make_safe")
    assert [choice.id for choice in question.choices][:2] == ["close", "keep"]

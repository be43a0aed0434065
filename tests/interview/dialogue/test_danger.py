"""Danger in the conversation: its own steps first, heard at any prompt, and past it only by an act of its own."""

from __future__ import annotations

import pytest

from engine.knowledge.model import ROLES, RoleId
from engine.session.acts import Act
from engine.session.journal import Event
from engine.session.session import Session
from interview.dialogue.manager import DialogueManager
from interview.dialogue.questions import question_for
from interview.frontends.json_lines import as_line
from interview.frontends.layout import asked, before_asked
from interview.messages import Control, Given, Note, Question, Reply, Request, Unable
from interview.understanding.replies import read
from interview.understanding.results import AskReason
from reports.sheets.choose import view_for
from tests.benchmarks.safety_search import speaking
from tests.interview.dialogue.test_manager import begun, kinds, talk
from tests.interview.people import ListedPerson, Memory, PaperSheet, clock, opened
from tests.shipped import knowledge, models

DANGERS = list(knowledge().dangers)
SMOKE = "there is smoke coming from the box"


def prompt(danger: str, role: RoleId) -> Question:
    session = opened(Session(models()), ("role", role), ("danger_now", danger))
    act = session.next()
    assert (act.kind, act.about) == ("make_safe", danger)
    return question_for(session, act)


def asked_kinds(person: ListedPerson) -> list[tuple[str, str]]:
    return [(question.kind, question.about) for question in person.asked]


@pytest.mark.parametrize("danger", DANGERS)
@pytest.mark.parametrize("role", ROLES)
def test_the_prompt_holds_the_dangers_own_steps_and_cautions_and_no_others(danger: str, role: RoleId) -> None:
    question, entry = prompt(danger, role), knowledge().dangers[danger]
    assert question.steps == entry.steps.for_role(role)
    assert 1 <= len(question.steps) <= 6
    assert [caution.id for caution in question.cautions] == list(entry.cautions)
    assert entry.wording.for_role(role) in question.text
    assert ("ead" in question.text and "out" in question.text) is (role != "field")


@pytest.mark.parametrize("danger", DANGERS)
@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize(("width", "height"), [(80, 24), (40, 24), (80, None)])
def test_the_first_screen_begins_with_the_steps_and_cautions_come_after_them(
    danger: str, role: RoleId, width: int, height: int | None
) -> None:
    screens, question = before_asked(prompt(danger, role), width, height)
    shown = [*screens, asked(question, width, height)]
    assert all(height is None or len(screen) < height for screen in shown)
    lines = [line.text for screen in shown for line in screen]
    heads = [place for place, line in enumerate(lines) if line.startswith(("DANGER: ", "WARNING: ", "CAUTION: "))]
    steps = [place for place, line in enumerate(lines) if line.lstrip()[:2] in {f"{n}." for n in range(1, 7)}]
    assert steps[0] < 6
    assert max(steps) < min(heads)
    first = [line.text for line in shown[0]]
    assert any(line.lstrip().startswith("1. ") for line in first)
    # All of the danger's steps stand on the first screen where there are 80 columns.
    assert width < 80 or sum(line.lstrip()[:2] in {f"{n}." for n in range(1, 7)} for line in first) == len(steps)


def test_a_program_gets_the_steps_and_the_cautions() -> None:
    line = as_line(prompt("tingle", "phone"))
    assert line["details"] == [f"{n}. {step}" for n, step in enumerate(prompt("tingle", "phone").steps, start=1)]
    cautions = line["cautions"]
    assert isinstance(cautions, list)
    assert [caution["id"] for caution in cautions] == list(knowledge().dangers["tingle"].cautions)


def test_not_done_and_then_done_is_made_safe_and_nothing_says_otherwise() -> None:
    session = opened(Session(models()), ("role", "phone"))
    replies = [Given("tingle"), Given("not_done"), Given("safe_now"), Given("done"), Given("keep")]
    _, person, memory = talk(session, *replies)
    assert [question.kind for question in person.asked] == ["ask", "confirm", "close", "confirm", "close"]
    assert session.job.made_safe
    assert session.job.notes == []
    assert kinds(memory) == [("answered", "danger_now"), ("made_safe", "danger_now")]


def test_going_back_from_the_sheet_of_a_danger_leads_to_its_steps_and_takes_nothing_back() -> None:
    session = opened(Session(models()), ("role", "phone"))
    _, person, _ = talk(session, Given("tingle"), Given("not_done"), Control.BACK, Control.LEAVE)
    assert [question.kind for question in person.asked][-1] == "confirm"
    assert session.job.danger == "tingle"


def test_past_a_danger_only_by_saying_who_found_it_safe() -> None:
    session = begun(("role", "field"), ("unit", "default"), ("complaint", "no-output"), ("danger_now", "burning_smell"))
    over = Given("technician", "renewed the plug")
    _, person, memory = talk(session, Given("done"), Given("found_safe"), over, Control.LEAVE)
    assert [question.kind for question in person.asked][:3] == ["confirm", "close", "clear"]
    assert person.asked[3].kind not in ("confirm", "close", "clear")
    assert (memory.events[-1].kind, memory.events[-1].value, memory.events[-1].text) == (
        "danger_cleared",
        "technician",
        "renewed the plug",
    )
    assert "The supply is off." in person.asked[3].progress or session.next().kind in ("isolate", "switch_on")


@pytest.mark.parametrize(("role", "who"), [("field", {"electrician", "technician"}), ("phone", {"electrician"})])
def test_whoever_may_not_say_so_is_not_offered(role: str, who: set[str]) -> None:
    session = opened(Session(models()), ("role", role), ("danger_now", "tingle"))
    _, person, _ = talk(session, Given("done"), Given("found_safe"), Given("not_yet"), Given("keep"))
    clearing = next(question for question in person.asked if question.kind == "clear")
    assert {choice.id for choice in clearing.choices} == {*who, "not_yet"}
    assert session.job.danger == "tingle"
    assert person.asked[-1].kind == "close"


def test_who_found_it_safe_is_said_with_what_was_done() -> None:
    session = opened(Session(models()), ("role", "phone"), ("danger_now", "tingle"))
    _, person, _ = talk(session, Given("done"), Given("found_safe"), Given("not_yet"), Given("keep"))
    clearing = next(question for question in person.asked if question.kind == "clear")
    assert isinstance(read("1", clearing), AskReason)
    assert read("electrician: bonding renewed", clearing) == Given("electrician", "bonding renewed")


def test_nobody_knows_of_one_is_one_line_of_what_to_look_for_and_goes_on() -> None:
    session = opened(Session(models()), ("role", "phone"))
    _, person, _ = talk(session, Given("none_known"), Control.LEAVE)
    assert person.cautions == []
    told = [line for line in person.said if line]
    assert len(told) == 1
    for answer in knowledge().checks["danger_now"].answers:
        assert answer.reports is None or answer.names[0] in told[0]
    assert person.asked[-1].about == "complaint"
    assert "not ruled out" not in person.asked[-1].progress


@pytest.mark.parametrize(
    ("language", "line"), [("en", "not that I know of"), ("en", "none that I know of"), ("es", "que yo sepa, no")]
)
def test_a_mild_answer_is_taken_and_is_no_none(language: str, line: str) -> None:
    with speaking(language) as known:
        session = opened(Session(known), ("role", "phone"))
        reply = read(line, question_for(session, session.next()))
    assert isinstance(reply, Given)
    assert reply.value == "none_known"


# --- in people's own words --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "reply",
    [
        Note(SMOKE),
        Request("say", SMOKE),
        Unable(SMOKE),
        Request("say", f"salt test 3400, {SMOKE}"),
        Request("tried", SMOKE),
    ],
)
def test_danger_in_any_reply_comes_before_whatever_else_it_is(reply: Reply) -> None:
    session = begun()
    _, person, _ = talk(session, reply, Control.LEAVE)
    assert asked_kinds(person)[-1] == ("confirm", "danger_now")
    assert session.job.danger == "burning_smell"
    assert session.job.reports[0].text in (SMOKE, f"salt test 3400, {SMOKE}")


def test_what_else_the_line_says_is_kept() -> None:
    session = begun()
    talk(session, Request("say", f"salt test 3400, {SMOKE}"), Control.LEAVE)
    assert session.job.answers["tested_salt"].reading.value == 3400.0


@pytest.mark.parametrize("check", ["cell_plates", "tested_salt", "unit_power", "danger_now"])
def test_a_typed_line_at_any_question_is_heard_before_it_is_refused_or_read(check: str) -> None:
    session = begun()
    put: list[Question] = []

    class Asks(ListedPerson):
        def put(self, question: Question, _shown: object) -> Reply:
            put.append(question)
            return Control.LEAVE

    from interview.dialogue.manager import DialogueManager
    from tests.interview.people import PaperSheet, clock

    DialogueManager(session, Asks([]), Memory(), clock, PaperSheet).run(Request("ask", check))
    question = put[-1] if put[-1].kind == "ask" else question_for(session, Act("ask", check))
    if question.alarm is not None:
        assert read(SMOKE, question) == Request("say", SMOKE)


@pytest.mark.parametrize(
    ("reply", "stands"),
    [(Given("yes"), True), (Control.UNKNOWN, True), (Given("no"), False), (Control.BACK, False), (Control.LEAVE, True)],
)
def test_what_may_be_danger_is_asked_back_and_only_a_no_passes_it(reply: Reply, stands: bool) -> None:
    session = begun()
    _, person, _ = talk(session, Note("the plug is warped and brown"), reply, Control.LEAVE)
    assert ("set_up", "danger") in asked_kinds(person)
    assert (session.job.danger == "burning_smell") is stands


def test_danger_said_beyond_doubt_while_it_is_asked_back_needs_no_further_answer() -> None:
    session = begun()
    _, person, _ = talk(session, Note("the plug is warped and brown"), Request("say", SMOKE), Control.LEAVE)
    assert asked_kinds(person)[-1] == ("confirm", "danger_now")
    assert [report.danger for report in session.job.standing] == ["burning_smell"]
    assert session.job.reports[0].text == SMOKE


def test_what_was_not_meant_is_not_asked_back_again() -> None:
    session = begun()
    said = Note("the plug is warped and brown")
    _, person, _ = talk(session, said, Given("no"), said, Control.LEAVE)
    assert asked_kinds(person).count(("set_up", "danger")) == 1


def test_a_second_danger_stands_beside_the_first() -> None:
    session = opened(Session(models()), ("role", "phone"), ("danger_now", "tingle"))
    talk(session, Note("and now we cannot breathe for the fumes"), Control.LEAVE)
    assert [report.danger for report in session.job.standing] == ["tingle", "chlorine_smell"]


@pytest.mark.parametrize(
    "line",
    [
        "cell lead burnt",
        "no output, cell lead burnt",
        "cell lead is burnt at the plug",
        "the plug on the cell lead is burnt",
    ],
)
def test_a_finding_that_is_a_danger_too_counts_once(line: str) -> None:
    """It is reported, as any other; what it makes believe is what the finding alone does."""
    session = begun(("role", "field"), ("danger_now", "none"), ("complaint", "no-output"))
    alone = begun(("role", "field"), ("danger_now", "none"), ("complaint", "no-output"), ("cell_lead", "burnt"))
    _, person, _ = talk(session, Request("say", line), Given("yes"))
    assert [report.danger for report in session.job.standing] == ["burning_smell"]
    assert session.job.answers["cell_lead"].reading.value == "burnt"
    said = {found.id for found in session.evidence}
    assert said == {found.id for found in alone.evidence} - {"danger_now"}
    assert any(question.steps for question in person.asked)


def test_once_a_danger_was_told_of_nothing_says_that_there_is_none() -> None:
    """Neither the belief nor a paper, whichever answer or words told of it."""
    at = "2026-05-04T09:00:00Z"
    for told in (
        Event("danger_reported", at, about="burning_smell"),
        Event("answered", at, about="flow_sensor_contact", value="stays_closed"),
    ):
        session = begun(("role", "field"), ("danger_now", "none"), ("complaint", "flow-fault"))
        session.record(told)
        assert session.job.standing
        assert "danger_now" not in session.job.readings
        assert "danger_now" not in {line.check for line in view_for(session, "2026-05-04", "technician").found}


def test_another_danger_told_of_while_the_question_for_danger_is_put_again_comes_before_that() -> None:
    session = begun(("role", "field"), ("danger_now", "burning_smell"))
    told = Note("there is a chlorine gas cloud over the drum")
    _, person, _ = talk(session, Request("change", "danger_now"), told)
    about = [question.about for question in person.asked if question.kind != "set_up"]
    assert about[1] == "danger_now"
    assert [report.danger for report in session.job.standing] == ["burning_smell", "chlorine_smell"]
    assert person.asked[2].steps


@pytest.mark.parametrize("wish", [Request("ask", "danger_now"), Request("say", "danger"), Request("change", "danger")])
def test_the_question_for_danger_wanted_while_one_was_asked_back_does_not_come_before_its_steps(wish: Request) -> None:
    session = opened(Session(models()), ("role", "field"), ("danger_now", "none"), ("complaint", "cell-leak"))
    person = ListedPerson([Note("my eyes sting"), wish, Given("yes"), Control.LEAVE])
    DialogueManager(session, person, Memory(), clock, PaperSheet).run()
    assert session.job.danger == "chlorine_smell"
    assert person.asked[-1].steps


def test_a_second_danger_told_of_at_the_end_stands_beside_the_first_and_comes_before_the_close() -> None:
    session = opened(Session(models()), ("role", "field"), ("danger_now", "none"), ("complaint", "cold-water"))
    first = Request("say", "electric shock"), Request("change", "danger_now"), Control.UNKNOWN, Given("done")
    person = ListedPerson([*first, Note("they say: gasping"), Control.LEAVE])
    DialogueManager(session, person, Memory(), clock, PaperSheet).run()
    assert {report.danger for report in session.job.standing} == {"tingle", "chlorine_smell"}
    assert person.asked[-1].steps == knowledge().dangers["chlorine_smell"].steps.technician

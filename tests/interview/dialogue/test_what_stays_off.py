"""What was found burnt, wet, bridged or tripping again stays off; a visit knows its own supply, and leaves it in order.

That nothing is energised before what was found is mended, that isolation is proved by whoever works, and that a part is
not put to what may have killed the last one: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest

from engine.session.acts import Act
from engine.session.journal import Event
from engine.session.session import Session
from interview.dialogue.manager import DialogueManager
from interview.dialogue.questions import question_for
from interview.messages import Control, Deferred, Given, Note, Reply, Request, Unable
from interview.understanding.replies import read
from tests.interview.people import ListedPerson, Memory, PaperSheet, clock, opened
from tests.shipped import knowledge, models

AT = "2026-05-04T09:30:00Z"
FIELD = (("role", "field"), ("danger_now", "none"), ("unit", "default"), ("complaint", "no-output"))
KEEPS_OFF = [
    (check.id, answer.id) for check in knowledge().checks.values() for answer in check.answers if answer.keeps_off
]
ENERGISING = {"switches_on", "resets_breaker", "starts_pump"}
"""The acts of hazards.yaml by which something is switched on."""


def field(*said: tuple[str, str | float]) -> Session:
    return opened(Session(models()), *FIELD, *said)


def play(session: Session, reply: Callable[[Act], Event | None], most: int = 60) -> list[Act]:
    """The acts of a visit whose every act is replied to so, up to its end."""
    acts: list[Act] = []
    while len(acts) < most:
        act = session.next(wanted=[])
        acts.append(act)
        event = reply(act)
        if act.kind == "conclude" or event is None:
            return acts
        session.record(event)
    raise AssertionError("a visit without end")


def knows_nothing(act: Act) -> Event | None:
    """Whoever switches as told, knows nothing more and repairs nothing."""
    match act.kind:
        case "isolate":
            return Event("made_safe", AT, about=act.about)
        case "switch_on":
            return Event("switched_on", AT, about=act.about)
        case "perform":
            return Event("repaired", AT, about=act.about, value="could_not", reason="no part")
        case "leave_plant":
            return Event("left", AT, about="plant", value=act.options[-1])
        case "make_safe":
            return Event("made_safe", AT, about="danger_now", value=act.about)
        case "find_part":
            return Event("part_found", AT, about=act.about, value="not_here")
        case _:
            return Event("dont_know", AT, about=act.about)


def test_there_are_answers_that_keep_everything_off() -> None:
    found = {check for check, _ in KEEPS_OFF}
    assert found >= {"cell_lead", "pack_inside", "cell_plates", "unit_fuse", "breaker"}


@pytest.mark.parametrize(("check", "answer"), KEEPS_OFF)
@pytest.mark.parametrize("complaint", sorted(knowledge().trees))
def test_nothing_is_switched_on_after_it_as_a_trial_either(check: str, answer: str, complaint: str) -> None:
    session = field()
    session.record(Event("corrected", AT, about="complaint", value=complaint))
    session.record(Event("made_safe", AT, about="cell_lead"))
    session.record(Event("answered", AT, about=check, value=answer))
    for act in play(session, knows_nothing):
        assert act.kind not in ("switch_on", "verify"), act
        if act.kind == "ask":
            asked = knowledge().checks[act.about]
            assert asked.plant != "running"
            assert ENERGISING.isdisjoint(asked.work.acts.technician)
    assert session.job.left_as == "off" or session.job.made_safe


@pytest.mark.parametrize(
    ("check", "answer"),
    [
        ("cell_plates", "bent_or_bridged"),
        ("cell_lead", "burnt"),
        ("pack_inside", "burnt"),
        ("unit_fuse", "blows_again"),
        ("breaker", "trips_again"),
    ],
)
def test_looks_with_the_supply_off_go_on_after_it(check: str, answer: str) -> None:
    """What else is burnt or bridged may have caused it, and is seen without any power."""
    session = field(("unit_power", "dark"))
    session.record(Event("corrected", AT, about="complaint", value="supply-fault"))
    session.record(Event("made_safe", AT, about="cell_lead"))
    session.record(Event("answered", AT, about=check, value=answer))
    asked = {act.about for act in play(session, knows_nothing) if act.kind == "ask"} - {check}
    assert {about for about in asked if knowledge().checks[about].plant == "isolated"}


def test_it_is_switched_off_at_once_where_it_was_still_on() -> None:
    session = field()
    session.record(Event("answered", AT, about="breaker", value="trips_again"))
    assert session.next(wanted=[]).kind == "isolate"


def test_what_was_burnt_is_mended_before_anything_is_tried() -> None:
    session = field()
    session.record(Event("made_safe", AT, about="cell_lead"))
    session.record(Event("answered", AT, about="cell_lead", value="burnt"))
    performed = [act.about for act in play(session, knows_nothing) if act.kind == "perform"]
    assert performed == ["renew_cell_lead"]


def test_once_mended_it_may_be_switched_on_and_seen() -> None:
    session = field()
    session.record(Event("made_safe", AT, about="cell_lead"))
    session.record(Event("answered", AT, about="cell_lead", value="burnt"))

    def mends(act: Act) -> Event | None:
        if act.kind == "perform":
            return Event("repaired", AT, about=act.about, value="done")
        return None if act.kind == "verify" else knows_nothing(act)

    acts = play(session, mends)
    assert [act.kind for act in acts[-2:]] == ["switch_on", "verify"]


def test_what_was_burnt_is_not_mended_by_drying() -> None:
    session = field()
    for event in (
        Event("made_safe", AT, about="pack_inside"),
        Event("answered", AT, about="pack_inside", value="burnt"),
        Event("repaired", AT, about="dry_power_pack", value="done"),
    ):
        session.record(event)
    assert all(act.kind not in ("switch_on", "verify") for act in play(session, knows_nothing))


def test_a_part_that_was_swapped_in_and_did_not_help_leaves_what_was_found_on_the_old_one() -> None:
    session = field()
    for event in (
        Event("made_safe", AT, about="cell_lead"),
        Event("answered", AT, about="cell_lead", value="burnt"),
        Event("repaired", AT, about="renew_cell_lead", value="done"),
        Event("switched_on", AT, about="renew_cell_lead"),
        Event("verified", AT, about="renew_cell_lead", value="not_helped"),
    ):
        session.record(event)
    assert knowledge().repairs["renew_cell_lead"].swap_back is not None
    acts = play(session, knows_nothing)
    assert acts[0].kind == "isolate"
    assert all(act.kind not in ("switch_on", "verify") for act in acts)


def test_burnt_anew_after_the_repair_keeps_it_off_again() -> None:
    session = field()
    for event in (
        Event("made_safe", AT, about="cell_lead"),
        Event("answered", AT, about="cell_lead", value="burnt"),
        Event("repaired", AT, about="renew_cell_lead", value="done"),
        Event("answered", AT, about="cell_lead", value="burnt"),
    ):
        session.record(event)
    assert all(act.kind not in ("switch_on", "verify") for act in play(session, knows_nothing))


@pytest.mark.parametrize(
    ("repair", "before"),
    [
        ("new_pack_fuse", {"cell_lead", "cell_plates"}),
        ("renew_power_pack", {"cell_lead", "cell_plates", "cell_current"}),
        ("acid_clean", {"cell_voltage", "cell_current"}),
    ],
)
def test_a_repair_waits_for_what_is_looked_at_and_measured_first(repair: str, before: set[str]) -> None:
    """A fuse or a pack goes again where lead or plates are at fault; volts and amps are for comparison afterwards."""
    session = field(("unit_power", "lit"))
    asked = set()
    while (act := session._after_looking(Act("perform", repair, repair=repair))).kind != "perform":
        if act.kind == "ask":
            asked.add(act.about)
        event = knows_nothing(act)
        assert event is not None
        session.record(event)
    assert asked == before
    assert session.job.plant == ("running" if repair == "acid_clean" else "isolated")


def talk(session: Session, *replies: Reply) -> tuple[ListedPerson, Memory]:
    person, memory = ListedPerson(list(replies)), Memory()
    DialogueManager(session, person, memory, clock, PaperSheet).run()
    return person, memory


ISOLATED = (("water_look", "clear"), ("unit_report", "cell_service"))


def isolated_visit() -> Session:
    session = field(*ISOLATED)
    session.record(Event("made_safe", AT, about="cell_plates"))
    return session


def test_in_another_visit_the_supply_is_asked_for_and_proved_dead_again() -> None:
    session = isolated_visit()
    person, memory = talk(session, Given("off"), Request("ask", "plates"))
    assert [event.kind for event in memory.events][:2] == ["resumed", "found"]
    assert person.asked[0].about == "plant"
    assert (person.asked[2].kind, person.asked[2].about, session.job.plant) == ("confirm", "cell_plates", "off")
    assert "isolate_and_prove_dead" in {caution.id for caution in person.asked[2].cautions}


@pytest.mark.parametrize(("hours", "another"), [(1, False), (14, True)])
def test_a_window_left_open_over_night_is_another_visit(hours: int, another: bool) -> None:
    """Though nobody left, neither what was known of the supply nor what was confirmed holds the next morning."""
    now, session = clock(), field(*ISOLATED)
    person, memory = ListedPerson([Request("ask", "plates"), Given("done"), Control.UNKNOWN]), Memory()
    talk = DialogueManager(session, person, memory, lambda: now, PaperSheet)
    for _ in range(3):
        talk.step()
    assert session.job.plant == "isolated"
    now += timedelta(hours=hours)
    person.replies = [Given("off"), Request("ask", "plates")] if another else [Request("ask", "plates")]
    for _ in range(len(person.replies) + 1):
        talk.step()
    asked = person.asked[3:]
    assert (asked[0].kind == "plant") is another
    assert (asked[-1].kind, asked[-1].about) == ("confirm" if another else "ask", "cell_plates")
    whole = {caution.id: caution.text for caution in person.asked[1].cautions}
    assert {caution.id: caution.text for caution in asked[-1].cautions} == (whole if another else {})
    assert ("resumed" in {event.kind for event in memory.events}) is another
    assert session.job.plant == ("off" if another else "isolated")


@pytest.mark.parametrize(("hours", "another"), [(1, False), (14, True)])
def test_what_was_confirmed_yesterday_is_confirmed_anew(hours: int, another: bool) -> None:
    now, session = clock(), field(*ISOLATED)
    person = ListedPerson([Request("ask", "baskets"), Given("clear")])
    talk = DialogueManager(session, person, Memory(), lambda: now, PaperSheet)
    for _ in range(2):
        talk.step()
    now += timedelta(hours=hours)
    person.replies = [Request("change", "baskets")]
    for _ in range(2):
        talk.step()
    first, again = person.asked[1], person.asked[-1]
    assert (first.about, again.about) == ("baskets", "baskets")
    assert first.confirm_cautions
    assert again.confirm_cautions is another
    assert again.cautions == (first.cautions if another else ())


REPLIES: list[Reply] = [Unable("no key"), Deferred("tonight"), Control.UNKNOWN, Control.BACK, Note("gate code 12")]
"""What is no consent."""


@pytest.mark.parametrize("check", ["baskets", "cell_voltage", "dilution_test", "other_load"])
@pytest.mark.parametrize("reply", REPLIES, ids=str)
def test_only_an_answer_confirms_a_caution(check: str, reply: Reply) -> None:
    """Shown and replied to by anything else, it is shown whole again before the same act."""
    person = ListedPerson([Request("ask", check), reply])
    talk = DialogueManager(field(*ISOLATED), person, Memory(), clock, PaperSheet)
    for _ in range(2):
        talk.step()
    person.replies = [Request("can", check), Request("ask", check)]
    for _ in range(6):
        if person.asked[-1].about == check and len(person.asked) > 2:
            break
        talk.step()
    first, again = person.asked[1], person.asked[-1]
    assert first.confirm_cautions
    assert (again.about, again.confirm_cautions, again.cautions) == (check, True, first.cautions)


def test_who_does_not_know_how_the_supply_is_proves_it_dead_before_touching() -> None:
    session = isolated_visit()
    person, _ = talk(session, Control.UNKNOWN, Request("ask", "plates"))
    assert session.job.plant == "off"
    assert (person.asked[2].kind, person.asked[2].about) == ("confirm", "cell_plates")


def test_a_visit_that_is_closed_leaves_nothing_off_without_a_word() -> None:
    session = isolated_visit()
    person, memory = talk(session, Given("off"), Control.FINISH, Given("off"), Given("keep"))
    assert [question.kind for question in person.asked][-2:] == ["plant", "close"]
    assert ("left", "off") in {(event.kind, event.value) for event in memory.events}


def test_switching_on_at_the_end_comes_with_its_caution() -> None:
    session = isolated_visit()
    person, _ = talk(session, Given("off"), Control.FINISH, Given("on"), Given("keep"))
    leaving = person.asked[-2]
    assert {choice.id for choice in leaving.choices} == {"on", "off"}
    assert "residual_current_protection" in {caution.id for caution in leaving.cautions}
    assert session.job.plant == "running"


def test_what_must_stay_off_is_not_left_on() -> None:
    session = isolated_visit()
    session.record(Event("answered", AT, about="cell_plates", value="bent_or_bridged"))
    person, _ = talk(session, Given("off"), Control.FINISH, Given("off"), Given("keep"))
    assert [choice.id for choice in person.asked[-2].choices] == ["off"]


def test_a_repair_that_helped_is_held_against_what_is_read_as_left() -> None:
    session = field(*ISOLATED, ("cell_plates", "white_scale"))
    for event in (
        Event("repaired", AT, about="acid_clean", value="done"),
        Event("verified", AT, about="acid_clean", value="helped"),
    ):
        session.record(event)
    assert session.next(wanted=[]).why == "solved"
    session.record(Event("answered", AT, about="cell_plates", value="white_scale"))
    doubted = session.next(wanted=[])
    assert (doubted.kind, doubted.why) == ("verify", "still_shown")
    session.record(Event("verified", AT, about="acid_clean", value="helped"))
    assert session.next(wanted=[]).why == "solved"


@pytest.mark.parametrize("line", ["not on yet", "not yet", "still off", "not switched on yet", "it isn't running yet"])
def test_what_was_not_switched_on_yet_is_no_repair_that_did_not_help(line: str) -> None:
    session = field(*ISOLATED, ("cell_plates", "white_scale"))
    for event in (
        Event("made_safe", AT, about="acid_clean"),
        Event("repaired", AT, about="acid_clean", value="done"),
    ):
        session.record(event)
    # Whether it helped is seen with the unit at work, and is not asked before.
    assert session.next(wanted=[]).kind == "switch_on"
    session.record(Event("switched_on", AT, about="acid_clean"))
    question = question_for(session, session.next(wanted=[]))
    assert question.kind == "verify"
    assert not isinstance(read(line, question), Given)
    assert read("later", question) == Given("later", "later")


@pytest.mark.parametrize("check", [check.id for check in knowledge().checks.values() if check.plant == "running"])
def test_what_needs_the_plant_running_is_never_put_under_an_isolated_one(check: str) -> None:
    session = field()
    session.record(Event("made_safe", AT, about="cell_plates"))
    assert session.act_for(check).kind == "switch_on" or check == "unit_report"


def test_where_it_cannot_be_switched_off_the_job_says_so_and_goes_on() -> None:
    session = field()
    session.record(Event("answered", AT, about="breaker", value="trips_again"))
    person, memory = talk(session, Unable("the switch is behind a locked door"))
    assert (memory.events[0].kind, memory.events[0].about) == ("cant", "plant")
    assert person.asked[1].kind != "confirm"

"""The repair loop at the pool: could not, done, helped or not, a second fault, and what the sheet says of it."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import pytest

from engine.session.session import Session
from interview.command_line.job_sheet import JobSheet
from interview.dialogue.manager import DialogueManager, Ending
from interview.messages import Control, Deferred, Given, Question, Reply, Request, Unable
from tests.interview.people import ListedPerson, Memory, clock, opened
from tests.shipped import knowledge, models

FIELD = (("role", "field"), ("danger_now", "none"), ("unit", "default"), ("complaint", "no-output"))
SCALED = (("water_look", "clear"), ("unit_report", "cell_service"), ("cell_plates", "white_scale"))


@dataclass
class RulePerson(ListedPerson):
    """A technician who confirms and switches, knows nothing but `findings`, and does repairs by `repairs`.

    `repairs` gives what came of each repair, `verified` whether it helped; a repair that is not named is not possible.
    """

    findings: dict[str, str | float] = field(default_factory=dict)
    repairs: dict[str, Reply] = field(default_factory=dict)
    verified: dict[str, str] = field(default_factory=dict)
    first: list[Reply] = field(default_factory=list)

    def put(self, question: Question, shown: Callable[[], None]) -> Reply:
        """The reply by kind."""
        self.asked.append(question)
        shown()
        assert len(self.asked) < 120, "a conversation without end"
        if self.first:
            return self.first.pop(0)
        match question.kind:
            case "confirm":
                return Given("done")
            case "perform":
                return self.repairs.get(question.about, Unable("not possible today"))
            case "verify":
                return Given(self.verified[question.about])
            case "close":
                return Given("keep")
            case "plant":
                return Given(question.choices[-1].id)
        value = self.findings.get(question.about)
        return Control.UNKNOWN if value is None else Given(value)

    def times(self, kind: str, about: str) -> int:
        """How often this was put."""
        return sum(question.kind == kind and question.about == about for question in self.asked)


def sheet_of(session: Session) -> JobSheet:
    return JobSheet(session, date(2026, 5, 4))


def talk(session: Session, person: RulePerson) -> tuple[Ending, Memory]:
    memory = Memory()
    return DialogueManager(session, person, memory, clock, sheet_of).run(), memory


def data(session: Session) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(json.dumps(sheet_of(session).data()))
    return found


def test_what_could_not_be_done_is_put_once_and_the_sheet_says_why_and_who_comes_back() -> None:
    session = opened(Session(models()), *FIELD, *SCALED)
    person = RulePerson([], repairs={"acid_clean": Unable("no acid in the van")})
    talk(session, person)
    assert person.times("perform", "acid_clean") == 1
    act = session.next()
    assert (act.kind, act.about, act.repair, act.why) == ("conclude", "order_and_return", "acid_clean", "not_done")
    text = " ".join(sheet_of(session).text().casefold().split())
    assert "no acid in the van" in text
    assert "come back" in text
    assert "a part is not in the van" not in text
    assert "repair here, on this visit" not in text


def test_a_repair_that_the_supply_could_not_be_switched_off_for_is_on_the_sheet_with_its_reason() -> None:
    session = opened(Session(models()), *FIELD, *SCALED)
    isolating = session.next(wanted=[])
    while isolating.kind != "isolate":
        talk(session, RulePerson([], first=[Control.UNKNOWN, Control.LEAVE]))
        isolating = session.next(wanted=[])
    assert isolating.repair == "acid_clean"
    person = RulePerson([], first=[Unable("isolator seized")])
    talk(session, person)
    assert person.times("perform", "acid_clean") == 0
    assert person.times("confirm", "acid_clean") == 1
    assert session.next().about == "order_and_return"
    assert "isolator seized" in sheet_of(session).text().casefold()


def test_once_it_can_be_done_after_all_it_is_proposed_again() -> None:
    session = opened(Session(models()), *FIELD, *SCALED)
    talk(session, RulePerson([], repairs={"acid_clean": Unable("no acid")}))
    person = RulePerson([], first=[Request("can", "acid clean")], repairs={"acid_clean": Given("done")})
    person.verified = {"acid_clean": "helped"}
    talk(session, person)
    assert person.times("perform", "acid_clean") == 1
    assert session.next().why == "solved"


def two_faults() -> Session:
    """Scale seen on the plates, and too little salt by the test: two repairs are called for."""
    said = (("cell_plates", "white_scale"), ("tested_salt", "1500"))
    session = opened(Session(models()), *FIELD[:3], ("complaint", "low-salt"), said[0])
    talk(session, RulePerson([], first=[Request("say", "salt test 1500"), Control.LEAVE]))
    assert set(session.job.answers) >= {about for about, _ in said}
    return session


@pytest.mark.parametrize("last", ["helped", "not_helped"])
def test_after_what_could_not_be_done_the_next_sensible_repair_follows(last: str) -> None:
    """No flow, and nothing known: one cause after the other is tried, the ones that cannot be are passed by."""
    session = opened(Session(models()), *FIELD[:3], ("complaint", "flow-fault"))
    person = RulePerson([], repairs={"set_valves": Given("done")}, verified={"set_valves": last})
    talk(session, person)
    performed = [question.about for question in person.asked if question.kind == "perform"]
    assert performed[:2] == ["empty_baskets", "set_valves"]
    assert len(set(performed)) == len(performed)
    assert session.job.repaired["empty_baskets"] == "could_not"
    assert (session.next().why == "solved") is (last == "helped")
    assert (len(performed) == 2) is (last == "helped")
    assert "not possible today" in sheet_of(session).text().casefold()


def test_where_nothing_else_pays_today_the_sheet_takes_both_works_to_the_second_visit() -> None:
    session = two_faults()
    person = RulePerson([], repairs={"add_salt": Unable("no salt in the van")})
    talk(session, person)
    act = session.next()
    assert (act.kind, act.about, act.repair) == ("conclude", "order_and_return", "add_salt")
    text = " ".join(sheet_of(session).text().casefold().split())
    assert "no salt in the van" in text
    works = knowledge().repairs
    assert all(works[name].wording.technician.casefold().rstrip(".") in text for name in ("add_salt", "acid_clean"))


@pytest.mark.parametrize("result", ["helped", "later"])
def test_done_asks_whether_it_helped_and_the_sheet_has_as_found_and_as_left(result: str) -> None:
    session = opened(Session(models()), *FIELD, *SCALED)
    person = RulePerson([], repairs={"acid_clean": Given("done")}, verified={"acid_clean": result})
    _, memory = talk(session, person)
    kinds = [event.kind for event in memory.events]
    assert kinds.index("repaired") < kinds.index("switched_on")
    assert person.times("verify", "acid_clean") == 1
    assert session.next().why == ("solved" if result == "helped" else "waiting")
    assert ("acid_clean" in session.job.waiting) is (result == "later")
    text = sheet_of(session).text().casefold()
    assert "as found" in text
    assert "as left" in text


def test_a_second_fault_is_gone_on_with_until_both_are_mended() -> None:
    session = two_faults()
    person = RulePerson([], findings={"tested_salt": 3500.0, "cell_plates": "white_scale"})
    person.repairs = {"acid_clean": Given("done"), "add_salt": Given("done")}
    person.verified = {"add_salt": "not_helped", "acid_clean": "helped"}
    talk(session, person)
    performed = [question.about for question in person.asked if question.kind == "perform"]
    assert performed == ["add_salt", "acid_clean"]
    assert [session.job.verified[name] for name in performed] == ["not_helped", "helped"]
    assert session.next().why == "solved"


@pytest.mark.parametrize("reply", [Unable("gate locked"), Deferred("monday"), Given("not_done")])
def test_no_repair_is_put_twice_on_one_visit_whatever_is_said_of_it(reply: Reply) -> None:
    for complaint in knowledge().trees:
        session = opened(Session(models()), *FIELD[:3], ("complaint", complaint))
        person = RulePerson([], repairs=dict.fromkeys(knowledge().repairs, reply))
        talk(session, person)
        for question in person.asked:
            if question.kind == "perform":
                assert person.times("perform", question.about) == 1, (complaint, question.about)
        act = session.next()
        assert act.kind == "conclude"
        refused = act.repair in session.job.left
        assert not (refused and act.about == "repair_here")
        assert data(session)["decision"]["decision"] == act.about


def test_a_part_that_is_ordered_is_fitted_on_the_next_visit() -> None:
    worn = (("unit_report", "low_salt_running"), ("tested_salt", 3500.0), ("cell_plates", "coating_worn"))
    session = opened(Session(models()), *FIELD[:3], ("complaint", "low-salt"), *worn, ("cell_age_years", 8.0))
    memory = Memory()
    first = RulePerson([], verified={})
    first.first = [Control.FINISH, Given("later")]
    ending = DialogueManager(session, first, memory, clock, sheet_of).run()
    assert not ending.closed
    assert list(session.job.waiting) == ["new_cell"]
    again = RulePerson([], repairs={"new_cell": Given("done")}, verified={"new_cell": "helped"})
    DialogueManager(session, again, memory, clock, sheet_of).run()
    performed = [question.about for question in again.asked if question.kind == "perform"]
    assert performed == ["new_cell"]
    assert session.job.verified["new_cell"] == "helped"

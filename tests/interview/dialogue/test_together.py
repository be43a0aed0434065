"""A repair done at home while both talk: cautions before steps, one step after the other, and a safe stop."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from engine.knowledge.model import Repair
from engine.session.journal import read_events
from engine.session.session import Session
from interview.dialogue.manager import DialogueManager
from interview.messages import Choice, Control, Given, Note, Question, Reply, Unable
from tests.interview.frontends.test_lines import put
from tests.interview.people import ListedPerson, Memory, PaperSheet, clock, opened, run
from tests.shipped import knowledge, models

OPENING = ("phone", "none", "no flow, pump running, pump basket packed with leaves", "finish")
REPAIR = next(repair for repair in knowledge().repairs.values() if repair.id == "empty_baskets")
STEPS = Question(
    kind="perform",
    about="mend",
    text="Mend it",
    choices=(Choice("done", "Done"), Choice("not_done", "Not done"), Choice("could_not", "Could not", "", True)),
    steps=("Look.", "Turn it.", "Look again."),
    one_by_one=True,
    may_fail=True,
)


def lines(*typed: str) -> str:
    return "".join(f"{line}\n" for line in typed)


def happened(jobs: Path) -> list[tuple[str, str, object]]:
    (path,) = jobs.glob("*.jsonl")
    return [(event.kind, event.about, event.value) for event in read_events(path) if event.kind != "recorded"]


def test_a_repair_on_the_phone_goes_step_by_step_behind_its_cautions_and_is_verified(tmp_path: Path) -> None:
    steps = [""] * 5
    done = run(tmp_path, typed=lines(*OPENING, "together", "dk", "ok", *steps, "done", "helped", "close"))
    assert done.returncode == 0, done.stderr
    assert happened(tmp_path)[-3:] == [
        ("repaired", REPAIR.id, "done"),
        ("verified", REPAIR.id, "helped"),
        ("closed", "", "repair_here"),
    ]
    shown = done.stdout
    places = [shown.index(f"Step {number} of 5.") for number in range(1, 6)]
    assert places == sorted(places)
    for caution in REPAIR.work.cautions.owner:
        first_words = knowledge().cautions[caution].wording.customer.split(".")[0][:40]
        assert " ".join(shown.split()).index(first_words) < " ".join(shown.split()).index("Step 1 of 5.")


def test_a_job_that_is_left_between_two_steps_waits_for_the_rest(tmp_path: Path) -> None:
    left = run(tmp_path, typed=lines(*OPENING, "together", "dk", "ok", "", "leave"))
    assert "leave the unit and the pump off" in " ".join(left.stdout.split())
    assert happened(tmp_path)[-2:] == [("found", "plant", "unknown"), ("deferred", REPAIR.id, None)]
    again = run(tmp_path, "resume", typed=lines("off", "done", "done", "helped"))
    assert again.returncode == 0, again.stderr
    assert "Has this been done since?" in again.stdout
    assert ("verified", REPAIR.id, "helped") in happened(tmp_path)


def test_breaking_off_between_two_steps_says_how_to_stop_and_waits_too() -> None:
    class Breaking(ListedPerson):
        def put(self, question: Question, shown: Callable[[], None]) -> Reply:
            if question.one_by_one:
                raise KeyboardInterrupt
            if question.kind == "ask" and not self.replies:
                return Control.UNKNOWN
            return super().put(question, shown)

    said = (("role", "phone"), ("danger_now", "none"), ("complaint", "flow-fault"), ("pump_running", "running"))
    session = opened(Session(models()), *said, ("baskets", "blocked"))
    person, memory = Breaking([Control.FINISH, Given("together")]), Memory()
    with pytest.raises(KeyboardInterrupt):
        DialogueManager(session, person, memory, clock, PaperSheet).run()
    assert any("leave the unit and the pump off" in text for text in person.said)
    assert [event.kind for event in memory.events if event.kind != "dont_know"] == ["found", "deferred"]


@pytest.mark.parametrize(
    ("typed", "reply", "said"),
    [
        (["", "", "", "done"], Given("done", "done"), ["1", "2", "3"]),
        (["ok", "done", "", "1"], Given("done", "1"), ["1", "2", "3"]),
        (["", "back", "", "", "", "done"], Given("done", "done"), ["1", "2", "1", "2", "3"]),
        (["back"], Control.BACK, ["1"]),
        (["", "finish"], Control.FINISH, ["1", "2"]),
        (["", "leave"], Control.LEAVE, ["1", "2"]),
        (["can't", "no key"], Unable("no key"), ["1"]),
        (["note wet"], Note("wet"), ["1"]),
        (["?", "", "zebra", "", "", "", "done"], Given("done", "done"), ["1", "1", "1", "1", "2", "3"]),
    ],
)
def test_each_key_path_through_steps(typed: list[str], reply: object, said: list[str]) -> None:
    found, typist = put(STEPS, *typed)
    assert found == reply
    assert [line.split()[1] for line in typist.shown if line.startswith("Step ")] == said


@pytest.mark.parametrize(
    "repair",
    [
        repair
        for repair in knowledge().repairs.values()
        if repair.plant == "isolated" and repair.decision["phone"] == "check_at_home"
    ],
    ids=lambda repair: repair.id,
)
def test_the_steps_of_an_owner_switch_off_before_anything_is_opened(repair: Repair) -> None:
    """Common practice, no source: off and locked, then opened, and on again only when closed."""
    steps = " ".join(repair.steps.for_role("phone")).lower()
    off = re.search(r"switch(?:ed)? (?:it |both |the unit |the power )?off|switch off", steps)
    opened = re.search(r"\b(?:open (?:the|its)|unscrew|lift|take (?:the|it|out)|undo|loosen)\b", steps)
    assert off is not None
    assert opened is None or off.start() < opened.start()


def test_steps_that_are_broken_off_leave_the_supply_off(tmp_path: Path) -> None:
    done = run(tmp_path, typed=lines(*OPENING, "together", "dk", "ok", "", "", "can't the lid is stuck", "finish"))
    assert "leave the unit and the pump off" in " ".join(done.stdout.split())
    assert happened(tmp_path)[-2:] == [("found", "plant", "unknown"), ("repaired", REPAIR.id, "could_not")]
    handout = " ".join(run(tmp_path, "sheet", "last", "--for", "customer").stdout.split())
    assert "Leave the unit and the pump off and locked until we have spoken." in handout
    assert "Let the pump run" not in handout
    assert "with the pump running" not in handout

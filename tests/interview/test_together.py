"""A repair done at home while both talk: the supply off first, cautions before steps, one step after the other."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.journal import read_events
from interview.frontend import Aside, Cannot, Choice, Given, Note, Question
from tests.interview.people import run
from tests.interview.test_dialogue import put
from tests.shipped import knowledge

OPENING = ("phone", "none", "no flow, pump running, pump basket packed with leaves", "finish")
REPAIR = next(repair for repair in knowledge().repairs.values() if repair.id == "empty_baskets")
STEPS = Question(
    kind="perform",
    about="mend",
    text="Mend it",
    choices=(Choice("done", "Done"), Choice("not_done", "Not done"), Choice("could_not", "Could not", "", True)),
    one_by_one=("1. Look.", "2. Turn it.", "3. Look again."),
    may_fail=True,
)


def lines(*typed: str) -> str:
    return "".join(f"{line}\n" for line in typed)


def happened(jobs: Path) -> list[tuple[str, str, object]]:
    (path,) = jobs.glob("*.jsonl")
    return [(event.kind, event.about, event.value) for event in read_events(path)]


def test_a_repair_on_the_phone_goes_step_by_step_with_the_supply_off_and_is_verified_with_it_on(tmp_path: Path) -> None:
    steps = [""] * 5
    done = run(tmp_path, typed=lines(*OPENING, "together", "done", *steps, "done", "done", "helped", "close"))
    assert done.returncode == 0, done.stderr
    assert happened(tmp_path)[-5:] == [
        ("made_safe", REPAIR.id, None),
        ("repaired", REPAIR.id, "done"),
        ("switched_on", REPAIR.id, None),
        ("verified", REPAIR.id, "helped"),
        ("closed", "", "repair_here"),
    ]
    shown = done.stdout
    places = [shown.index(f"Step {number} of 5.") for number in range(1, 6)]
    assert places == sorted(places)
    for caution in REPAIR.cautions:
        first_words = knowledge().cautions[caution].wording.customer.split(".")[0][:40]
        assert " ".join(shown.split()).index(first_words) < " ".join(shown.split()).index("Step 1 of 5.")


def test_what_cannot_be_done_on_the_phone_is_left_and_the_sheet_says_another_way(tmp_path: Path) -> None:
    done = run(tmp_path, typed=lines(*OPENING, "together", "done", "", "can't the lid is stuck", "finish"))
    assert ("repaired", REPAIR.id, "could_not") in happened(tmp_path)
    assert done.returncode == 0, done.stderr


def test_a_job_that_is_left_between_two_steps_goes_on_from_the_sheet(tmp_path: Path) -> None:
    run(tmp_path, typed=lines(*OPENING, "together", "done", "", "leave"))
    assert happened(tmp_path)[-1] == ("made_safe", REPAIR.id, None)
    again = run(tmp_path, "resume", typed=lines("finish", "together", "ok", *[""] * 5, "done", "done", "helped"))
    assert again.returncode == 0, again.stderr
    assert ("verified", REPAIR.id, "helped") in happened(tmp_path)


@pytest.mark.parametrize(
    ("typed", "reply", "said"),
    [
        (["", "", "", "done"], Given("done", "done"), ["1", "2", "3"]),
        (["ok", "done", "", "1"], Given("done", "1"), ["1", "2", "3"]),
        (["", "back", "", "", "", "done"], Given("done", "done"), ["1", "2", "1", "2", "3"]),
        (["back"], Aside.BACK, ["1"]),
        (["", "finish"], Aside.FINISH, ["1", "2"]),
        (["", "leave"], Aside.LEAVE, ["1", "2"]),
        (["can't", "no key"], Cannot("no key"), ["1"]),
        (["note wet"], Note("wet"), ["1"]),
        (["?", "zebra", "", "", "", "done"], Given("done", "done"), ["1", "1", "1", "2", "3"]),
    ],
)
def test_each_key_path_through_steps(typed: list[str], reply: object, said: list[str]) -> None:
    found, typist = put(STEPS, *typed)
    assert found == reply
    assert [line.split()[1] for line in typist.shown if line.startswith("Step ")] == said

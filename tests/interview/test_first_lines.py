"""Several facts on one line, from the very first prompt on: what is kept, what is asked back, and when."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.session.journal import Event, read_events
from engine.session.session import Session
from interview.dialogue.manager import DialogueManager
from interview.frontends.lines import LineFrontEnd
from tests.interview.frontends.test_lines import Typist
from tests.interview.people import Memory, PaperSheet, clock, opened, run
from tests.shipped import knowledge, models

FACTS = "no chlorine, salt 4100, plates white, 18 C"
WHICH_SALT = '"4100": did you mean one of these? Press Return to skip.'


def answers(jobs: Path) -> dict[str, object]:
    (path,) = jobs.glob("*.jsonl")
    return {event.about: event.value for event in read_events(path) if event.kind in ("answered", "corrected")}


def events(jobs: Path) -> tuple[Event, ...]:
    (path,) = jobs.glob("*.jsonl")
    return read_events(path)


@pytest.mark.parametrize("lines", [[FACTS, "counter", "none"], ["counter", FACTS, "none"], ["counter", "none", FACTS]])
def test_a_line_is_taken_at_each_of_the_first_prompts_and_asked_back_after_the_question_of_danger(
    lines: list[str], tmp_path: Path
) -> None:
    done = run(tmp_path, typed="\n".join([*lines, "2", "2"]))
    assert done.returncode == 0, done.stderr
    assert answers(tmp_path) == {
        "role": "counter",
        "danger_now": "none",
        "complaint": "no-output",
        "cell_plates": "white_scale",
        "tested_salt": 4100.0,
        "water_temp": 18.0,
    }
    assert done.stdout.index("Safety first.") < done.stdout.index(WHICH_SALT)


def test_where_there_is_danger_nothing_is_asked_back(tmp_path: Path) -> None:
    done = run(tmp_path, typed=f"counter\n{FACTS}\n5\n")
    assert WHICH_SALT not in done.stdout
    assert answers(tmp_path)["cell_plates"] == "white_scale"


def test_danger_said_in_the_first_line_comes_first(tmp_path: Path) -> None:
    done = run(tmp_path, typed=f"burnt smell, {FACTS}\ncounter\n")
    assert answers(tmp_path)["danger_now"] == "burning_smell"
    assert WHICH_SALT not in done.stdout
    # Before it is asked who calls: what is done first needs no answer to that.
    assert "Do this now, or read it out" in done.stdout
    assert "1. Get everyone out of the water" in done.stdout


@pytest.mark.parametrize(
    ("typed", "shown"),
    [("finish", "Close this job?"), ("list", "1. place: Shop counter"), ("note call back", "Noted.")],
)
def test_where_something_is_asked_back_the_other_words_hold(typed: str, shown: str, tmp_path: Path) -> None:
    done = run(tmp_path, typed=f"counter\nnone\n{FACTS}\n{typed}\n")
    assert shown in done.stdout
    asked = done.stdout.count(WHICH_SALT)
    assert asked == (1 if typed == "finish" else 2)


def test_leaving_where_something_is_asked_back_keeps_the_job(tmp_path: Path) -> None:
    done = run(tmp_path, typed=f"counter\nnone\n{FACTS}\nleave\nnever read\n")
    assert "brinecall" in done.stderr
    assert "resume" in done.stderr
    assert "Close this job?" not in done.stdout
    assert answers(tmp_path)["complaint"] == "no-output"


@pytest.mark.parametrize("tree", list(knowledge().trees))
def test_each_name_of_a_complaint_opens_its_tree_and_no_other(tree: str) -> None:
    """Read from lines as a terminal gives them, in this process: there are dozens of names."""
    for name in knowledge().trees[tree].names:
        session, memory = opened(Session(models()), ("role", "phone"), ("danger_now", "none")), Memory()
        front = LineFrontEnd(Typist(["note nothing", f"{name}, cell age 3"]))
        DialogueManager(session, front, memory, clock, PaperSheet).run()
        said = {event.about: event.value for event in memory.events if event.kind == "answered"}
        assert (said["complaint"], said["cell_age_years"]) == (tree, 3.0), name


def test_the_complaint_said_again_is_no_riddle(tmp_path: Path) -> None:
    done = run(tmp_path, typed="counter\nnone\nno-output\nnothing\nno chlorine, plates white\n")
    assert "   ? " not in done.stdout
    assert [event.about for event in events(tmp_path) if event.about == "complaint"] == ["complaint"]


def test_a_line_before_the_role_is_on_disk_before_the_role_is_asked_again(tmp_path: Path) -> None:
    run(tmp_path, typed=f"{FACTS}\n")
    assert answers(tmp_path) == {"complaint": "no-output", "cell_plates": "white_scale"}
    resumed = run(tmp_path, "resume", typed="counter\n")
    assert resumed.returncode == 0, resumed.stderr
    assert "Where are you taking this call?" in resumed.stdout
    assert "Safety first." in resumed.stdout


def test_a_whole_water_test_is_one_short_line(tmp_path: Path) -> None:
    """By the trade's own abbreviations: free and combined chlorine, pH, total alkalinity, calcium, cyanuric acid."""
    done = run(tmp_path, typed="counter\nnone\nfc 0.5 cc 0.2 ph 7.8 ta 120 ch 300 cya 20\n")
    assert "   ? " not in done.stdout
    measured = {"free_chlorine": 0.5, "combined_chlorine": 0.2, "ph": 7.8, "alkalinity": 120.0, "hardness": 300.0}
    assert answers(tmp_path).items() >= (measured | {"stabiliser": 20.0}).items()


@pytest.mark.parametrize(
    ("wish", "about", "answer"),
    [("ask unit", "unit", "tells_little"), ("ask model", "unit", "default"), ("ask brought", "brought", "cell")],
)
def test_what_the_start_asks_can_be_said_at_any_time(wish: str, about: str, answer: str, tmp_path: Path) -> None:
    # `unit` is also how people ask for a check, so it is asked back which is meant; the first is the kind of unit.
    which = ["1"] if wish == "ask unit" else []
    run(tmp_path, typed="\n".join(["counter", "none", "no chlorine", "nothing", wish, *which, answer, ""]))
    assert answers(tmp_path)[about] == answer


def test_the_place_may_be_said_in_the_first_line_too(tmp_path: Path) -> None:
    run(tmp_path, typed="phone, no flow, pump running\nnone\n")
    assert answers(tmp_path) == {
        "role": "phone",
        "complaint": "flow-fault",
        # What it is called tells what the unit reports too.
        "unit_report": "no_flow",
        "pump_running": "running",
        "danger_now": "none",
    }


def test_of_two_complaints_in_a_line_none_is_taken_and_both_are_offered(tmp_path: Path) -> None:
    done = run(tmp_path, typed="phone, unit dead, no chlorine, cell age 3\nnone\n")
    assert "complaint" not in answers(tmp_path)
    assert answers(tmp_path)["cell_age_years"] == 3.0
    asked = done.stdout[done.stdout.index("did you mean one of these?") :]
    assert " 1  problem: The unit is dead" in asked
    assert " 2  problem: There is little or no chlorine" in asked


def test_where_none_of_two_complaints_is_picked_the_question_is_asked(tmp_path: Path) -> None:
    done = run(tmp_path, typed="phone, unit dead, no chlorine, cell age 3\nnone\n\n")
    assert "complaint" not in answers(tmp_path)
    assert done.stdout.count("What is the problem?") == 2


def test_an_answer_with_more_behind_it_goes_to_the_question_that_stands(tmp_path: Path) -> None:
    done = run(tmp_path, typed="counter\nnone\nno chlorine\nnothing\ncloudy, salt test 2100\n")
    assert "What does the pool water look like?" in done.stdout
    assert answers(tmp_path).items() >= {"water_look": "cloudy", "tested_salt": 2100.0}.items()


@pytest.mark.parametrize(
    "line", ["no salt added, cell age 3", "clear plates or so, cell age 3", "not clear, cell age 3"]
)
def test_a_word_of_the_question_beside_other_words_is_no_answer_to_it(line: str, tmp_path: Path) -> None:
    run(tmp_path, typed=f"counter\nnone\nno chlorine\nnothing\n{line}\n")
    assert "water_look" not in answers(tmp_path)
    assert answers(tmp_path)["cell_age_years"] == 3.0


def test_what_only_one_check_could_mean_is_taken(tmp_path: Path) -> None:
    run(tmp_path, typed="field\nnone\ndefault\nno chlorine\nsay 18.5 A\n")
    assert answers(tmp_path)["cell_current"] == 18.5


def test_what_is_not_taken_at_last_is_told(tmp_path: Path) -> None:
    done = run(tmp_path, typed=f"counter\nnone\n{FACTS}\n3\n\n")
    assert "Not used: 4100" in done.stdout
    assert "Not used: 18 C" in done.stdout


def test_there_is_no_sheet_before_the_place_and_the_danger_are_said(tmp_path: Path) -> None:
    done = run(tmp_path, typed=f"{FACTS}\nfinish\ncounter\nfinish\nnone\nfinish\nfinish\n")
    assert done.returncode == 0, done.stderr
    assert "First say where you are taking this call" in done.stdout
    assert "First say whether any of this is happening" in done.stdout
    assert done.stdout.count("Close this job?") == 1

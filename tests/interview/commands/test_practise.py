"""`brinecall practise` by lines, as from a pipe."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from engine.foundation.text_catalog import use_language
from interview.command_line.context import BadInputError, Places
from interview.commands.practise import practise_command
from interview.storage.practice import practice_file
from tests.shipped import knowledge, visible_calls

CALLS = str(Path(__file__).parents[3] / "faults" / "calls" / "visible.yaml")
CALL = next(call for call in visible_calls() if call.role == "field" and "cell_plates" in call.facts)
NUMBER = visible_calls().index(CALL) + 1
LEAVING = (
    *("leave\n", "decide\nleave\n", "decide\nsomething else\nleave\n"),
    *("decide\nsomething else\nhand on\nleave\n", ""),
)


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BRINECALL_JOBS", str(tmp_path / "jobs"))


def run(typed: str, *arguments: str) -> Result:
    return CliRunner().invoke(practise_command, list(arguments), obj=Places(), input=typed)


def practised(typed: str, *arguments: str) -> str:
    result = run(typed, CALLS, "--call", str(NUMBER), "--learner", "ann", *arguments)
    assert result.exit_code == 0, result.output
    return result.stdout


def test_a_practice_ends_with_both_ways_and_a_score_of_ones_own() -> None:
    cause = " , ".join(CALL.causes or ())
    told = practised(f"cell plates\ndecide\n{cause}\nhand on\n\n")
    answers = {answer.id: answer.wording.technician for answer in knowledge().checks["cell_plates"].answers}
    plates = answers[str(CALL.facts["cell_plates"])]
    for part in (f": {plates}", "You found it.", "You: 1 questions", "The program:", "worth", "Saved in"):
        assert part in told
    score = json.loads(practice_file().read_text(encoding="utf-8"))
    assert (score["learner"], score["call"], score["right"]) == ("ann", CALL.name, True)
    if os.name != "nt":
        assert practice_file().stat().st_mode & 0o077 == 0
    assert "ann: practice calls 1, 1 of 1 right" in run("", "--scores", "--learner", "ann").stdout
    assert "ben: practice calls 0" in run("", "--scores", "--learner", "ben").stdout


def test_a_caution_that_was_told_is_not_forgotten() -> None:
    cause = ",".join(CALL.causes or ())
    silent = practised(f"decide\n{cause}\nhand on\n\n")
    forgotten = [line.removeprefix("Forgotten: ") for line in silent.splitlines() if line.startswith("Forgotten: ")]
    assert forgotten
    told = practised(f"decide\n{cause}\nhand on\n{forgotten[0]}\n")
    assert f"Forgotten: {forgotten[0]}" not in told


@pytest.mark.parametrize("typed", LEAVING)
def test_every_prompt_can_be_left_and_nothing_is_kept(typed: str) -> None:
    assert "Stopped; nothing was saved." in practised(typed)
    assert not practice_file().exists()


def test_every_prompt_takes_help() -> None:
    told = practised("help\ndecide\nhelp\nsomething else\nhelp\nhand on\nhelp\nleave\n")
    for words in ("ends the questions", "several with commas", "Describe the repair", "an empty line means none"):
        assert words in told


def test_what_is_not_understood_is_asked_again() -> None:
    told = practised("xyzzy\nsalt\ndecide\nxyzzy\nsomething else\nxyzzy\nhand on\n\n")
    assert "Say it in other words" in told
    assert "Say which" in told
    assert told.count("That is not clear") == 2


def test_it_is_in_the_language_in_use() -> None:
    use_language("es")
    try:
        told = practised("decido\notra cosa\npasar\n\n")
    finally:
        use_language("en")
    assert "El programa:" in told


def test_a_call_that_is_not_there_is_one_clear_line() -> None:
    assert isinstance(run("", CALLS, "--call", "999").exception, BadInputError)


def test_a_repair_that_does_not_mend_it_is_not_scored_as_right() -> None:
    causes = CALL.causes or ()
    wrong = next(
        repair for repair in knowledge().repairs.values() if not any(repair.cures.get(cause) for cause in causes)
    )
    told = practised(f"decide\n{','.join(causes)}\n{wrong.id}\n\n")
    assert "You found it." in told
    assert "does not fix it" in told
    score = json.loads(practice_file().read_text(encoding="utf-8"))
    assert (score["right"], score["named"], score["mends"]) == (False, True, False)
    assert "practice calls 1, 0 of 1 right" in run("", "--scores", "--learner", "ann").stdout


def test_a_repair_that_mends_one_of_the_causes_is_scored_as_right() -> None:
    causes = CALL.causes or ()
    repair = knowledge().causes[causes[0]].repairs[0]
    told = practised(f"decide\n{','.join(causes)}\n{repair}\n\n")
    assert "does not fix it" not in told
    score = json.loads(practice_file().read_text(encoding="utf-8"))
    assert (score["right"], score["mends"]) == (True, True)

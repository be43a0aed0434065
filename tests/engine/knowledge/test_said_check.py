"""What `brinecall check` tells of how people say things: where, what, and what to do."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import pytest

from engine.knowledge.files import contents_of
from engine.knowledge.loader import read_folder
from engine.knowledge.said_check import said_problems

FOLDER, _ = read_folder("faults", contents_of(files("faults"))[0])
WRONG = {
    "pump_runing:\n  running: [pump runs]\n": (1, "there is no check `pump_runing`"),
    "pump_running:\n  runing: [pump runs]\n": (2, "there is no answer `runing`"),
    "pump_running:\n  running: pump runs\n": (2, "a list of phrases"),
    "pump_running:\n  running: [pump runs]\n  stopped: [Pump  runs]\n": (3, "also means `running`"),
    "pump_running:\n  within: maybe\n": (2, "true or false"),
    "pump_running: [pump runs]\n": (1, "a mapping"),
    "cell_current:\n  lots: [many amps]\n": (2, "there is no answer `lots`"),
    "- pump_running\n": (1, "a mapping"),
}


@pytest.mark.parametrize("text", WRONG)
def test_a_mistake_is_told_at_its_line(tmp_path: Path, text: str) -> None:
    (tmp_path / "seen.yaml").write_text(text, encoding="utf-8")
    line, words = WRONG[text]
    (problem,) = said_problems(tmp_path, FOLDER)
    assert (problem.line, words in problem.what) == (line, True), problem
    assert problem.advice


def test_words_that_are_alike_stand_in_lists(tmp_path: Path) -> None:
    (tmp_path / "alike.yaml").write_text("sensor: flow switch\n", encoding="utf-8")
    (problem,) = said_problems(tmp_path, FOLDER)
    assert problem.line == 1


def test_a_file_that_is_no_yaml_is_told(tmp_path: Path) -> None:
    (tmp_path / "seen.yaml").write_text("pump_running: [\n", encoding="utf-8")
    (tmp_path / "notes.yml").write_text("", encoding="utf-8")
    assert {Path(problem.file).name for problem in said_problems(tmp_path, FOLDER)} == {"seen.yaml", "notes.yml"}


def test_a_number_and_a_former_answer_are_answers(tmp_path: Path) -> None:
    text = "output_setting:\n  100: [flat out]\nunit_fuse:\n  blown: [fuse blown]\n"
    (tmp_path / "seen.yaml").write_text(text, encoding="utf-8")
    assert list(said_problems(tmp_path, FOLDER)) == []

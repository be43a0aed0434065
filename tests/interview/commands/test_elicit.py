"""`brinecall elicit` by lines, on a copy of the folder."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner, Result

from engine.knowledge.loader import load_knowledge
from interview.command_line.context import BadInputError, Places
from interview.commands.elicit import elicit_command

FAULTS = Path(__file__).parents[3] / "faults"


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    left_out = shutil.ignore_patterns("*.py", "__pycache__", "languages", "words", "said", "calls")
    return Path(shutil.copytree(FAULTS, tmp_path / "mine", ignore=left_out))


def run(folder: Path, typed: str, *arguments: str) -> Result:
    return CliRunner().invoke(elicit_command, list(arguments), obj=Places(folder), input=typed)


ANSWERS = "1\n\n\n10-14\n\n\n"
"""Of the six answers of the check: one, left open, left open, a range, left open twice."""
UNWANTED = (
    *("", "leave\n", "5\nleave\n", "\n\n\n\n\n\n"),
    *(f"{ANSWERS}leave\n", f"{ANSWERS}sure\nno\n", f"{ANSWERS}sure\nleave\n"),
)
UNKNOWN = (("cell_wron",), ("cell_worn", "--check", "plates"), ("cell_worn", "--check", "cell_age_years"))


def test_what_is_said_is_told_and_written_with_who_when_and_how_sure(mine: Path) -> None:
    result = run(mine, f"{ANSWERS}rather sure\nyes\n", "cell_worn", "--check", "cell_plates", "--who", "Ann Example")
    assert result.exit_code == 0, result.output
    assert "coating_worn 46% -> 60%" in result.stdout
    entry = next(e for e in yaml.safe_load((mine / "causes" / "cell.yaml").read_text()) if e["cause"] == "cell_worn")
    assert entry["shows"]["cell_plates"] == {"clean": 0.05, "coating_worn": 0.6}
    assert "of 20 pools cell_plates clean 1, coating_worn 10-14 (Ann Example, 20" in entry["source"]
    assert entry["source"].endswith("rather sure)")
    assert load_knowledge(mine).causes["cell_worn"].shows["cell_plates"] == {"clean": 0.05, "coating_worn": 0.6}


@pytest.mark.parametrize("typed", UNWANTED)
def test_nothing_is_written_before_it_is_wanted(mine: Path, typed: str) -> None:
    before = (mine / "causes" / "cell.yaml").read_bytes()
    assert run(mine, typed, "cell_worn", "--check", "cell_plates").exit_code == 0
    assert (mine / "causes" / "cell.yaml").read_bytes() == before


def test_what_is_no_count_is_asked_again_with_help(mine: Path) -> None:
    typed = f"plenty\nhelp\n?\n{ANSWERS}perhaps\nsure\nperhaps\nno\n"
    told = run(mine, typed, "cell_worn", "--check", "cell_plates").stdout
    assert told.count("That is not a count") == 1
    assert told.count("the fewest and the most") == 2
    assert "Type `sure`, `rather sure` or `a guess`." in told
    assert "Type `yes` or `no`." in told


@pytest.mark.parametrize("arguments", UNKNOWN)
def test_what_cannot_be_asked_is_one_clear_line(mine: Path, arguments: tuple[str, ...]) -> None:
    assert isinstance(run(mine, "", *arguments).exception, BadInputError)


def test_without_a_check_those_never_looked_at_are_asked(mine: Path) -> None:
    assert "just_before:" in run(mine, "leave\n", "cell_worn").stdout


def test_what_came_with_the_program_is_not_written_to(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("interview.commands.elicit.kept_calls", lambda _: [])
    before = (FAULTS / "causes" / "cell.yaml").read_bytes()
    command = ["cell_worn", "--check", "cell_plates"]
    told = CliRunner().invoke(elicit_command, command, obj=Places(), input=f"{ANSWERS}sure\nyes\n")
    assert told.exit_code == 0, told.output
    assert "--faults" in told.stdout
    assert (FAULTS / "causes" / "cell.yaml").read_bytes() == before

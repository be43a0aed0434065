"""The command that looks for mistakes: what it prints and with what it leaves."""

from __future__ import annotations

import shutil
from importlib.resources import files
from pathlib import Path

import pytest
from click.testing import CliRunner

from engine.evaluation.manual import manuals
from engine.foundation.text_catalog import use_language
from interview.command_line.context import Places
from interview.commands.app import command_line
from interview.commands.check import check
from tests.overlay import BAD, GOOD, expected_of

FAULTS = Path(str(files("faults")))


def test_it_is_silent_where_all_is_well() -> None:
    result = CliRunner().invoke(check, [str(GOOD)], obj=Places())
    assert (result.exit_code, result.output) == (0, "")


def test_it_says_how_much_it_checked_when_asked_to() -> None:
    result = CliRunner().invoke(check, [str(GOOD), "--verbose"], obj=Places())
    assert result.exit_code == 0
    assert result.stdout == ""
    assert result.stderr.startswith("1 trees, 3 causes, 9 checks, 3 repairs; knowledge ")


@pytest.mark.parametrize("mistake", ["duplicate_key", "missing_fields", "acid_without_its_act"])
def test_it_prints_each_mistake_on_a_line_and_leaves_with_1(tmp_path: Path, mistake: str) -> None:
    folder = tmp_path / "mine"
    shutil.copytree(GOOD, folder)
    shutil.copytree(BAD / mistake, folder, dirs_exist_ok=True)
    result = CliRunner().invoke(check, [str(folder)], obj=Places())
    assert result.exit_code == 1
    told, rules = zip(*(line.removesuffix("]").rsplit(" [", 1) for line in result.stdout.splitlines()), strict=True)
    assert list(told) == [f"{folder}/{line}" for line in expected_of(mistake)]
    assert set(rules) <= set(manuals())


def test_it_says_that_a_folder_is_not_there(tmp_path: Path) -> None:
    result = CliRunner().invoke(check, [str(tmp_path / "nowhere")], obj=Places())
    assert result.exit_code == 1
    assert result.stdout == f"{tmp_path / 'nowhere'}: there is no such folder; name a folder of fault trees [files]\n"


def test_the_shipped_fault_trees_are_free_of_mistakes() -> None:
    result = CliRunner().invoke(check, [], obj=Places())
    assert (result.exit_code, result.stdout) == (0, "")


def test_how_much_was_checked_is_said_in_the_language_in_use() -> None:
    use_language("es")
    try:
        result = CliRunner().invoke(check, [str(GOOD), "--verbose"], obj=Places())
    finally:
        use_language("en")
    assert result.stderr.startswith("1 árboles, 3 causas, 9 comprobaciones, 3 reparaciones; conocimiento ")


def test_an_older_folder_is_refused_in_one_line_and_upgraded_when_asked_to(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(GOOD, tmp_path / "mine"))
    (folder / "format.yaml").unlink()
    refused = CliRunner().invoke(check, [str(folder)], obj=Places())
    assert refused.exit_code == 1
    (line,) = refused.stdout.splitlines()
    assert line.endswith(f"run `brinecall check --upgrade {folder}` [files]")
    upgraded = CliRunner().invoke(check, [str(folder), "--upgrade"], obj=Places())
    assert upgraded.exit_code == 0
    assert str(folder / "_version-1") in upgraded.stderr
    assert CliRunner().invoke(check, [str(folder)], obj=Places()).exit_code == 0


def test_an_upgraded_folder_says_which_translations_are_to_be_read_and_stamps_them_when_told_to(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(GOOD, tmp_path / "mine"))
    (folder / "format.yaml").unlink()
    translated = folder / "languages" / "xx" / "cautions.yaml"
    translated.parent.mkdir(parents=True)
    translated.write_text("- caution: acid_into_water\n  customer: Aa.\n", encoding="utf-8")
    upgraded = CliRunner().invoke(check, [str(folder), "--upgrade"], obj=Places())
    assert upgraded.exit_code == 1
    (line,) = (each for each in upgraded.stdout.splitlines() if ": look again: " not in each)
    assert line.startswith(f"{translated}:1:12: the caution `acid_into_water` does not say which English")
    stamped = CliRunner().invoke(check, [str(folder), "--restamp"], obj=Places())
    assert stamped.exit_code == 0
    assert f"{translated}:1:3: the stamp of the caution `acid_into_water` now matches" in stamped.stderr
    assert CliRunner().invoke(check, [str(folder)], obj=Places()).output.splitlines()[:1] != [line]


def test_no_stamp_is_written_where_no_folder_is_named() -> None:
    result = CliRunner().invoke(check, ["--restamp"], obj=Places())
    assert result.exit_code == 2
    assert "name the folder whose translations have been compared with the English" in result.stderr


@pytest.mark.parametrize("name", ["mistakes_files", "errors", "command_line", "overlay"])
@pytest.mark.parametrize("command", [["check"], ["draw", "no-such-tree"], ["sheet"], ["check", "nowhere"]])
def test_words_that_cannot_be_read_are_told_even_where_they_would_tell_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, command: list[str]
) -> None:
    shutil.copytree(FAULTS, tmp_path / "faults", ignore=shutil.ignore_patterns("__pycache__"))
    (tmp_path / "faults" / "words").mkdir(exist_ok=True)
    (tmp_path / "faults" / "words" / f"{name}.yaml").unlink(missing_ok=True)
    (tmp_path / "faults" / "words" / f"{name}.yaml").mkdir()
    try:
        assert command_line(["--faults", str(tmp_path / "faults"), "--jobs", str(tmp_path), *command]) in (1, 2)
    finally:
        use_language("en")
    told = capsys.readouterr()
    assert (told.out + told.err).strip()


def test_mistakes_without_number_are_told_so_many_at_once_in_plain_short_lines(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(FAULTS, tmp_path / "faults", ignore=shutil.ignore_patterns("__pycache__"))
    bad = "".join(f'- "x{number}\\e]52;c;eA==\\a": {"y" * 300}\n' for number in range(1500))
    (tmp_path / "faults" / "checks" / "bad.yaml").write_text(bad, encoding="utf-8")
    assert command_line(["check", str(tmp_path / "faults")]) == 1
    told = capsys.readouterr().out
    assert len(told) < 1_000_000
    assert len(told.splitlines()) == 501
    assert told.splitlines()[-1].startswith("and ")
    assert all(line.isprintable() and len(line) < 2000 for line in told.splitlines())


def test_the_folder_that_a_command_line_names_is_the_one_that_is_checked(tmp_path: Path) -> None:
    shutil.copytree(FAULTS, tmp_path / "faults", ignore=shutil.ignore_patterns("__pycache__"))
    (tmp_path / "faults" / "roles.yaml").write_text("- role: captain\n", encoding="utf-8")
    assert command_line(["--faults", str(tmp_path / "faults"), "check"]) == 1
    assert command_line(["check"]) == 0

"""The command that looks for mistakes: what it prints and with what it leaves."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from engine.foundation.text_catalog import use_language
from interview.command_line.context import Places
from interview.commands.check import check
from tests.overlay import BAD, GOOD, expected_of


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
    assert result.stdout.splitlines() == [f"{folder}/{line}" for line in expected_of(mistake)]


def test_it_says_that_a_folder_is_not_there(tmp_path: Path) -> None:
    result = CliRunner().invoke(check, [str(tmp_path / "nowhere")], obj=Places())
    assert result.exit_code == 1
    assert result.stdout == f"{tmp_path / 'nowhere'}:1:1: there is no such folder; name a folder of fault trees\n"


def test_the_shipped_fault_trees_are_free_of_mistakes() -> None:
    result = CliRunner().invoke(check, [], obj=Places())
    assert (result.exit_code, result.stdout) == (0, "")


def test_how_much_was_checked_is_said_in_the_language_in_use() -> None:
    use_language("es")
    try:
        result = CliRunner().invoke(check, [str(GOOD), "--verbose"], obj=Places())
    finally:
        use_language("en")
    assert result.stderr.startswith("1 árboles, 3 causas, 9 pruebas, 3 reparaciones; conocimiento ")


def test_an_older_folder_is_refused_in_one_line_and_upgraded_when_asked_to(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(GOOD, tmp_path / "mine"))
    (folder / "format.yaml").unlink()
    refused = CliRunner().invoke(check, [str(folder)], obj=Places())
    assert refused.exit_code == 1
    (line,) = refused.stdout.splitlines()
    assert line.endswith(f"run `brinecall check --upgrade {folder}`")
    upgraded = CliRunner().invoke(check, [str(folder), "--upgrade"], obj=Places())
    assert (upgraded.exit_code, upgraded.stdout) == (0, "")
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
    (line,) = upgraded.stdout.splitlines()
    assert line.startswith(f"{translated}:1:12: the caution `acid_into_water` does not say of which English")
    stamped = CliRunner().invoke(check, [str(folder), "--restamp"], obj=Places())
    assert (stamped.exit_code, stamped.stdout) == (0, "")
    assert f"{translated}:1:3: the caution `acid_into_water` got the stamp" in stamped.stderr
    assert CliRunner().invoke(check, [str(folder)], obj=Places()).output.splitlines()[:1] != [line]


def test_no_stamp_is_written_where_no_folder_is_named() -> None:
    result = CliRunner().invoke(check, ["--restamp"], obj=Places())
    assert result.exit_code == 2
    assert "name the folder whose translations have been read" in result.stderr

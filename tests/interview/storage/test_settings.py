"""What is remembered for a user: kept, found again, and never in the way."""

from __future__ import annotations

import json
from pathlib import Path
from typing import get_args

import pytest

from engine.quantities.unit_systems import System
from interview.storage.settings import (
    ENVIRONMENT,
    preferences_file,
    remember_role,
    remember_units,
    role_picked,
    units_in_use,
)


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "settings"
    monkeypatch.setenv(ENVIRONMENT, str(place))
    return place


def test_both_systems_of_units_can_be_chosen() -> None:
    for system in get_args(System):
        remember_units(system)
        assert units_in_use() == system


def test_units_are_metric_until_others_are_chosen_and_then_those() -> None:
    assert units_in_use() == "metric"
    remember_units("us")
    assert units_in_use() == "us"
    remember_units("metric")
    assert units_in_use() == "metric"


def test_nothing_is_written_before_something_is_chosen(folder: Path) -> None:
    units_in_use()
    assert not folder.exists()


def test_other_choices_in_the_file_stay(folder: Path) -> None:
    folder.mkdir()
    preferences_file().write_text('{"language": "es", "units": "metric"}')
    remember_units("us")
    assert json.loads(preferences_file().read_text()) == {"language": "es", "units": "us"}


BROKEN = ["", "{", "[1]", "\x00\xff", '"us"', '{"units": "imperial"}', '{"units": ["us"]}', "1" * 5000, "[" * 100_000]


@pytest.mark.parametrize("content", BROKEN, ids=range(len(BROKEN)))
def test_a_file_that_cannot_be_used_is_named_in_one_line_and_the_usual_holds(
    content: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder.mkdir()
    preferences_file().write_bytes(content.encode("latin-1"))
    assert units_in_use() == "metric"
    said = capsys.readouterr().err
    assert len(said.splitlines()) == 1
    assert str(preferences_file()) in said
    assert "--units" in said
    remember_units("us")
    assert units_in_use() == "us"


def test_a_folder_in_its_place_or_one_that_cannot_be_made_is_said_and_no_more(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    preferences_file().mkdir(parents=True)
    assert units_in_use() == "metric"
    remember_units("us")
    assert len(capsys.readouterr().err.splitlines()) == 2
    preferences_file().rmdir()
    folder.rmdir()
    folder.write_text("a file")
    remember_units("us")
    assert "could not be saved" in capsys.readouterr().err


def test_the_place_picked_last_is_kept_beside_the_units() -> None:
    assert role_picked() == ""
    remember_role("phone")
    remember_units("us")
    assert (role_picked(), units_in_use()) == ("phone", "us")


@pytest.mark.parametrize("content", [*BROKEN, '{"role": 3}'], ids=range(len(BROKEN) + 1))
def test_nothing_is_said_of_a_place_that_cannot_be_read_or_kept(
    content: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder.mkdir()
    preferences_file().write_bytes(content.encode("latin-1"))
    assert role_picked() == ""
    preferences_file().unlink()
    preferences_file().mkdir()
    remember_role("phone")
    assert capsys.readouterr().err == ""


def test_without_the_variable_it_is_the_platforms_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    from platformdirs import user_config_dir

    monkeypatch.delenv(ENVIRONMENT)
    assert preferences_file().parent == Path(user_config_dir("brinecall", appauthor=False))

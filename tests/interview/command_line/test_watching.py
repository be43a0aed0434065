"""A folder watched: told at each change, with the calls that the edit can touch; no clock, the changes are played."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from engine.evaluation.calls import read_calls
from engine.evaluation.look_over import LookedOver, look_over
from engine.foundation import yaml_reader
from engine.knowledge.loader import load_knowledge
from engine.proving.at_a_save import first_moved, touched_calls
from engine.session.models import Models
from interview.command_line.watching import State, state_of, watch
from tests.overlay import GOOD

FILE = "calls/example.yaml"


@pytest.fixture
def mine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(yaml_reader, "_KEPT", [])
    return Path(shutil.copytree(GOOD, tmp_path / "mine"))


def edit(folder: Path, file: str, old: str, new: str) -> None:
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def played(folder: Path, *edits: Callable[[], None]) -> tuple[list[LookedOver], list[str]]:
    """What is told while these edits are made one after the other."""
    told: list[LookedOver] = []
    lines: list[str] = []
    waiting = list(edits)

    def change(_: Path, __: State) -> State | None:
        if not waiting:
            return None
        waiting.pop(0)()
        return state_of(folder)

    watch(folder, lambda: look_over(folder), told.append, lines.append, change)
    return told, lines


def test_each_save_is_told_and_mended_again(mine: Path) -> None:
    told, _ = played(
        mine,
        lambda: edit(mine, "causes/cell.yaml", "white_scale: nearly", "white_scales: nearly"),
        lambda: edit(mine, "causes/cell.yaml", "white_scales: nearly", "white_scale: nearly"),
    )
    assert [len(looked.found) for looked in told] == [0, 1, 0]
    assert told[1].found[0].rule == "answers-are-known"


def test_an_edit_tells_which_worked_calls_it_moved(mine: Path) -> None:
    _, lines = played(
        mine,
        lambda: edit(mine, "trees/low-salt.yaml", "salt_low: 60, cell_scaled: 30", "salt_low: 10, cell_scaled: 80"),
    )
    calls = read_calls(FILE, (GOOD / FILE).read_bytes(), load_knowledge(GOOD))
    before, after = Models(load_knowledge(GOOD)), Models(load_knowledge(mine))
    expected = [move.call for call in calls if (move := first_moved(call, before, after)) is not None]
    assert expected
    assert [line.partition(":")[0] for line in lines if "->" in line] == expected
    assert f"sample calls that this can affect: 2 of 2 tested, {len(expected)} changed" in lines


def test_a_remark_tries_no_call(mine: Path) -> None:
    _, lines = played(mine, lambda: edit(mine, "causes/cell.yaml", "- cause", "# a remark\n- cause"))
    assert [line for line in lines if "worked calls" in line] == []


def test_calls_of_a_changed_cause_are_tried_first_and_wording_touches_none(mine: Path) -> None:
    old = load_knowledge(mine)
    calls = read_calls(FILE, (GOOD / FILE).read_bytes(), old)
    edit(mine, "causes/cell.yaml", "technician: Calcium scale", "technician: Lime scale")
    assert touched_calls(calls, old, load_knowledge(mine)) == []
    edit(mine, "causes/cell.yaml", "white_scale: nearly always", "white_scale: usually")
    tried = touched_calls(calls, old, load_knowledge(mine))
    of_it = ["cell_scaled" in (call.causes or ()) for call in tried]
    assert any(of_it)
    assert of_it == sorted(of_it, reverse=True)


def test_what_did_not_change_is_not_read_again(mine: Path) -> None:
    """By the reader itself, below the one that keeps documents for all tests."""
    yaml_reader.keep_what_is_read()
    own = getattr(yaml_reader.compose, "__wrapped__", yaml_reader.compose)
    content = (mine / "parts.yaml").read_bytes()
    first = own("parts.yaml", content)
    assert own("parts.yaml", content) is first
    assert own("parts.yaml", content + b"# more\n") is not first
    assert own("other.yaml", content) is not first

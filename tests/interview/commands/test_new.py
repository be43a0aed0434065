"""A new entry: written with remarks, in the form that check wants, or saying what is left to be filled in."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from engine.foundation.yaml_reader import read_document
from engine.knowledge.editor_schema import schema_line
from engine.knowledge.skeletons import asked_of, new_kinds, skeleton
from interview.command_line.context import Places
from interview.commands.app import command_line
from interview.commands.new import new_command
from tests.overlay import GOOD, contents_of

WHOLE: dict[str, list[str]] = {
    "part": ["customer=A clip", "technician=Clip", "price=cheap", "in_van=no"],
    "caution": [
        "customer=Mind it well.",
        "technician=Mind it.",
        "in_short=Mind it well.",
        "signal=NOTICE",
        "source=judgement",
    ],
    "act": ["brings=[spoilt_equipment]", "who=[owner, technician]", "cautions=[spare_the_cell]"],
    "check": [
        "customer=Does the pump howl?",
        "technician=Pump noise",
        "how=Listen at the pump.",
        "answers={quiet: It hums, howls: It howls}",
        "usual={quiet: 95, howls: 5}",
        "minutes={counter: 1, phone: 1, field: 1}",
        "known={counter: often, phone: often, field: usually}",
        "needs=nothing",
        "plant=any",
        "source=judgement",
    ],
    "unit": [
        "customer=A small unit",
        "technician=Small",
        "salt={stop: 2400, low: 2800, ideal: 3600, high: 4500}",
        "lockout=11",
        "rated={current: 19, voltage: 7.5, salt: 3500, temperature: 25, chlorine: 20}",
        "gaps=1",
        "electrode_hours=9000",
        "reports={normal: It says it is well., low_salt_running: It warns., low_salt_stopped: It stops.}",
        "shows_numbers=[]",
        "source=invented",
    ],
    "call": ["role=phone", "complaint=low-salt", "facts={cell_plates: white_scale}", "cause=cell_scaled"],
}
"""Fields of entries that want nothing more."""


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    return Path(shutil.copytree(GOOD, tmp_path / "mine"))


def run(folder: Path, *words: str) -> int:
    return command_line(["--faults", str(folder), "--jobs", str(folder.parent), *words])


@pytest.mark.parametrize("kind", WHOLE)
def test_an_entry_whose_fields_are_given_passes_check(
    mine: Path, capsys: pytest.CaptureFixture[str], kind: str
) -> None:
    assert run(mine, "new", kind, "quite_new", *WHOLE[kind], "--no-ask") == 0
    told = capsys.readouterr().out.splitlines()
    # What nothing counts on yet is a doubt and no mistake.
    assert [line for line in told if ": look again: no" not in line] == []
    assert run(mine, "check") == 0


@pytest.mark.parametrize("kind", [kind for kind in new_kinds() if kind != "call"])
def test_an_empty_entry_says_what_is_left_to_fill_in(mine: Path, capsys: pytest.CaptureFixture[str], kind: str) -> None:
    assert run(mine, "new", kind, "quite_new", "--no-ask") == 0
    told = capsys.readouterr().out
    needed = [field.name for field in asked_of(kind) if field.needed]
    assert needed
    assert all(f"`{name}` is missing" in told for name in needed)
    assert run(mine, "check") == 1


@pytest.mark.parametrize("kind", new_kinds())
def test_each_field_stands_below_a_remark_of_what_belongs_there(kind: str) -> None:
    lines = skeleton(kind, "quite_new", {}).splitlines()
    fields = asked_of(kind)
    assert len(lines) == 1 + 2 * len(fields)
    for field, remark, line in zip(fields, lines[1::2], lines[2::2], strict=True):
        assert remark.strip() == f"# {field.belongs}"
        assert line.strip() == f"# {field.name}:"


def test_what_must_be_there_is_asked_for_and_return_leaves_it_open(mine: Path) -> None:
    typed = "A clip: for pipes\n\ncheap\nno\n"
    result = CliRunner().invoke(new_command, ["part", "clip", "--ask"], obj=Places(faults=mine), input=typed)
    assert result.exit_code == 0
    text = (mine / "parts.yaml").read_text(encoding="utf-8")
    assert '  customer: "A clip: for pipes"\n' in text
    assert "  # technician:\n" in text
    assert "`technician` is missing" in result.stdout


@given(st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), min_size=1).map(str.strip).filter(bool))
def test_any_text_is_read_back_as_it_was_given(text: str) -> None:
    """Not numbers, which are no texts, nor what stands in brackets: a list, a group, a figure with its unit."""
    if re.fullmatch(r"[-+.0-9eE]+", text) or re.search(r"[\[\]{}]", text):
        return
    data: Any = read_document("", skeleton("part", "clip", {"customer": text}).encode()).data
    assert data[0]["customer"] == text


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["part", "salt"], "`salt` is already the id of another part"),
        (["part", "Salt"], "`Salt` is not an id"),
        (["part", "clip", "prize=cheap"], "did you mean `price`?"),
        (["part", "clip", "price=cheep"], "did you mean `cheap`?"),
        (["part", "clip", "--into", "../parts.yaml"], "cannot hold such an entry"),
        (["cause", "clip", "--into", "checks/own.yaml"], "cannot hold such an entry"),
    ],
)
def test_what_cannot_be_written_is_refused_and_nothing_is_changed(
    mine: Path, capsys: pytest.CaptureFixture[str], words: list[str], why: str
) -> None:
    assert run(mine, "new", *words, "--no-ask") == 2
    assert why in capsys.readouterr().err
    assert contents_of(mine) == contents_of(GOOD)


def test_a_new_file_leads_an_editor_to_its_schema_where_there_is_one(mine: Path) -> None:
    assert run(mine, "schema", "--write") == 0
    assert run(mine, "new", "cause", "quite_new", "--no-ask") == 0
    first = (mine / "causes" / "own.yaml").read_text(encoding="utf-8").splitlines()[0]
    assert f"{first}\n" == schema_line("causes/own.yaml")
    assert (mine / "causes" / first.partition("$schema=")[2]).resolve().is_file()


@pytest.mark.parametrize(
    ("kind", "like"),
    [
        ("cause", "cell_scaled"),
        ("check", "cell_plates"),
        ("repair", "acid_clean"),
        ("part", "salt"),
        ("unit", "default"),
    ],
)
def test_an_entry_copied_says_what_the_other_says(tmp_path: Path, kind: str, like: str) -> None:
    folder = Path(shutil.copytree(GOOD, tmp_path / "mine"))
    assert command_line(["--faults", str(folder), "new", kind, "quite_new", "--like", like]) == 0
    entries = {}
    for path in folder.rglob("*.yaml"):
        if path.parent.name == "calls":
            continue
        data = read_document(str(path), path.read_bytes()).data
        for entry in data if isinstance(data, list) else [data]:
            if isinstance(entry, dict) and kind in entry and "languages" not in path.parts:
                # A copy: what was read of a file is kept for other tests.
                entries[entry[kind]] = {name: value for name, value in entry.items() if name != kind}
    assert entries["quite_new"] == entries[like]


def test_what_is_copied_is_changed_in_the_editor(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = Path(shutil.copytree(GOOD, tmp_path / "mine"))
    before = {path: path.read_bytes() for path in folder.rglob("*.yaml")}
    words = ["--faults", str(folder), "new", "part", "quite_new"]
    assert command_line([*words, "customer=A", "--like", "salt"]) == 2
    assert "--like takes no fields" in capsys.readouterr().err
    assert command_line(["--faults", str(folder), "new", "call", "x", "role=phone", "--like", "y"]) == 2
    assert "sample call cannot be copied" in capsys.readouterr().err
    assert command_line([*words, "--like", "sal"]) == 2
    assert "did you mean `salt`?" in capsys.readouterr().err
    assert {path: path.read_bytes() for path in folder.rglob("*.yaml")} == before

"""A counter takes a bundle with one command, goes back with one, and works on whatever becomes of what it took."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from engine.knowledge.bundle import MANIFEST
from engine.knowledge.loader import load_knowledge
from interview.commands.app import command_line
from interview.storage import settings, taken
from tests.overlay import GOOD

HASH = "Hash: "


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BRINECALL_JOBS", str(tmp_path / "data" / "jobs"))
    taken.is_as_taken.cache_clear()


@pytest.fixture
def bundle(tmp_path: Path) -> Path:
    return made(tmp_path, GOOD, "one")


def made(tmp_path: Path, folder: Path, name: str) -> Path:
    file = tmp_path / f"{name}.brine"
    assert command_line(["knowledge", "bundle", str(file), str(folder), "--notes", f"notes of {name}"]) == 0
    return file


def other(tmp_path: Path) -> Path:
    """A folder that says one thing otherwise."""
    folder = tmp_path / "other"
    shutil.copytree(GOOD, folder)
    parts = folder / "parts.yaml"
    parts.write_text(parts.read_text(encoding="utf-8").replace("in_van: no", "in_van: yes", 1), encoding="utf-8")
    return folder


def used(capsys: pytest.CaptureFixture[str]) -> tuple[str, str, str]:
    """The fingerprint in use, the rule, and what is told beside it."""
    taken.is_as_taken.cache_clear()
    capsys.readouterr()
    assert command_line(["knowledge", "--json"]) == 0
    out, told = capsys.readouterr()
    said = json.loads(out)
    return said["knowledge"]["fingerprint"], said["rule"], told


def of(folder: Path) -> str:
    return load_knowledge(folder, "en").fingerprint


def test_it_is_taken_shown_and_given_back(bundle: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = used(capsys)
    assert command_line(["knowledge", "take", str(bundle)]) == 0
    told = capsys.readouterr().out
    assert "notes of one" in told
    assert "knowledge back" in told
    assert used(capsys)[:2] == (of(GOOD), "setting")
    assert command_line(["knowledge"]) == 0
    assert "notes of one" in capsys.readouterr().out
    assert command_line(["knowledge", "back"]) == 0
    assert used(capsys) == before
    assert command_line(["knowledge", "back"]) == 0
    assert used(capsys)[0] == of(GOOD)


def test_the_one_before_is_kept(bundle: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    second = made(tmp_path, other(tmp_path), "two")
    for file in (bundle, second, second):
        assert command_line(["knowledge", "take", str(file)]) == 0
    assert used(capsys)[0] == of(tmp_path / "other")
    assert command_line(["knowledge", "back"]) == 0
    assert used(capsys)[0] == of(GOOD)


def test_the_hash_that_was_told_is_held_against_the_file(bundle: Path, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()
    assert command_line(["knowledge", "take", str(bundle), "--hash", "0123456789abcdef"]) == 2
    assert "hash" in capsys.readouterr().err
    assert settings.knowledge_folder() == ""
    for short in ("", "ab"):
        code = command_line(["knowledge", "take", str(bundle), "--hash", short])
        assert code == (0 if short == "" else 2)
    said = taken.manifest_of(Path(settings.knowledge_folder()))["hash"]
    assert command_line(["knowledge", "take", str(bundle), "--hash", f"{said[:8]} {said[8:16].upper()}"]) == 0


SPOILT: dict[str, Callable[[bytes], bytes]] = {
    "cut short": lambda content: content[: len(content) // 2],
    "empty": lambda _: b"",
    "no archive": lambda _: b"knowledge\n",
    "a byte changed": lambda content: content[:300] + bytes([content[300] ^ 1]) + content[301:],
}


@pytest.mark.parametrize("how", SPOILT)
def test_a_spoilt_file_changes_nothing(how: str, bundle: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line(["knowledge", "take", str(bundle)]) == 0
    before = used(capsys)
    bundle.write_bytes(SPOILT[how](bundle.read_bytes()))
    assert command_line(["knowledge", "take", str(bundle)]) == 2
    assert "Nothing has changed" in capsys.readouterr().err
    assert used(capsys) == before


def test_a_file_that_is_not_there_or_no_file_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for file in (tmp_path / "none", tmp_path):
        assert command_line(["knowledge", "take", str(file)]) == 2
        assert str(file) in capsys.readouterr().err


def test_a_folder_with_a_danger_is_not_handed_on(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = other(tmp_path)
    cautions = folder / "cautions.yaml"
    cautions.write_text(cautions.read_text(encoding="utf-8").replace("signal: DANGER", "signal: NOTICE"), "utf-8")
    assert command_line(["knowledge", "bundle", str(tmp_path / "x"), str(folder)]) == 2
    assert "danger" in capsys.readouterr().err
    assert not (tmp_path / "x").exists()


AFTERWARDS: dict[str, Callable[[Path], object]] = {
    "a file changed": lambda top: (top / "parts.yaml").write_text("- part: x\n", encoding="utf-8"),
    "a file put in": lambda top: (top / "causes" / "more.yaml").write_text("[]\n", encoding="utf-8"),
    "a file deleted": lambda top: (top / "repairs.yaml").unlink(),
    "all deleted": lambda top: shutil.rmtree(top.parent),
    "its manifest spoilt": lambda top: (top.parent / MANIFEST).write_text("[", encoding="utf-8"),
}


@pytest.mark.parametrize("how", AFTERWARDS)
@pytest.mark.parametrize("first", [True, False])
def test_what_is_spoilt_afterwards_stops_no_counter(
    how: str, first: bool, bundle: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = used(capsys)[0]
    if not first:
        assert command_line(["knowledge", "take", str(made(tmp_path, other(tmp_path), "two"))]) == 0
        before = of(tmp_path / "other")
    assert command_line(["knowledge", "take", str(bundle)]) == 0
    AFTERWARDS[how](Path(settings.knowledge_folder()))
    fingerprint, rule, told = used(capsys)
    assert (fingerprint, rule) == (before, "before")
    assert "loaded from a bundle" in told
    assert command_line(["knowledge", "take", str(bundle)]) == 0
    assert used(capsys)[:2] == (of(GOOD), "setting")


def test_what_a_later_program_finds_a_mistake_in_stops_no_counter(
    bundle: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    before = used(capsys)[0]
    assert command_line(["knowledge", "take", str(bundle)]) == 0
    # As it would be after an update whose rules are stricter: the files are as they were taken, and have a mistake.
    top = Path(settings.knowledge_folder())
    (top / "parts.yaml").write_text("- part: x\n", encoding="utf-8")
    monkeypatch.setattr("interview.command_line.context.is_as_taken", lambda _: True)
    fingerprint, _, told = used(capsys)
    assert fingerprint == before
    assert "does not pass this program's check" in told


def test_old_ones_are_cleared_and_those_in_use_stay(tmp_path: Path) -> None:
    folder = other(tmp_path)
    for number in range(7):
        with (folder / "parts.yaml").open("a", encoding="utf-8") as file:
            file.write(f"# {number}\n")
        assert command_line(["knowledge", "take", str(made(tmp_path, folder, str(number)))]) == 0
    left = [path for path in taken.taken_place().iterdir() if path.is_dir()]
    assert 2 <= len(left) <= 5
    assert Path(settings.knowledge_folder()).is_dir()
    assert Path(settings.knowledge_before()).is_dir()


def test_there_is_nothing_to_go_back_to_where_nothing_was_taken(capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line(["knowledge", "back"]) == 2
    assert "nothing to go back to" in capsys.readouterr().err

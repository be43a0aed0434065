"""The recipes of the manual of the faults folder work as they stand: each file written, each command run."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest

from engine.foundation.text_catalog import use_language
from interview.commands.app import command_line
from interview.storage import taken

ROOT = Path(__file__).parents[2]
MANUAL = (ROOT / "faults" / "README.md").read_text(encoding="utf-8")
RECIPES = re.findall(r"^### (\d+\. [^\n]*)\n\n(.*?)(?=^##)", MANUAL, re.M | re.S)
PARTS = re.compile(
    r"^(In|At the end of) `(my-faults/[\w/.-]+)`:\n\n```yaml\n(.*?)^```$|^    (brinecall [^\n]*)$", re.M | re.S
)
"""A file to be written or added to, or a command."""
SILENT = "brinecall check my-faults"


@pytest.fixture(autouse=True)
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("BRINECALL_JOBS", str(tmp_path / "data" / "jobs"))
    taken.is_as_taken.cache_clear()
    shutil.copytree(ROOT / "faults", "faults", ignore=shutil.ignore_patterns("*.py", "__pycache__", "words"))
    # A handful of calls tells whether a command works; all of them are tried elsewhere.
    for file in Path("faults/calls").glob("*.yaml"):
        calls = file.read_text(encoding="utf-8").split("\n---\n")
        file.write_text("\n---\n".join(calls[:4]), encoding="utf-8")
    return tmp_path


def test_there_are_ten_and_each_has_something_to_write_and_to_run() -> None:
    assert [name.partition(".")[0] for name, _ in RECIPES] == [str(number) for number in range(1, 11)]
    for name, text in RECIPES:
        parts = PARTS.findall(text)
        assert any(file for _, file, _, _ in parts), name
        assert any(command for *_, command in parts), name
        assert len(parts) == text.count("```yaml") + text.count("\n    brinecall "), name


@pytest.mark.e2e
@pytest.mark.parametrize(("name", "text"), RECIPES, ids=[name for name, _ in RECIPES])
def test_a_recipe_works_as_it_stands(name: str, text: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line(["--faults", "faults", "knowledge", "edit", "my-faults"]) == 0
    for how, file, content, command in PARTS.findall(text):
        if file:
            path = Path(file)
            path.parent.mkdir(parents=True, exist_ok=True)
            before = path.read_text(encoding="utf-8") if how != "In" else ""
            path.write_text(before + content, encoding="utf-8")
            continue
        capsys.readouterr()
        code = command_line(shlex.split(command)[1:])
        told = capsys.readouterr()
        use_language("en")
        assert code == 0, (command, told)
        assert not (command == SILENT and told.out), (name, told.out)

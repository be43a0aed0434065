"""What the docs say is there, and what is there is said."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from interview.commands.app import cli

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_readme_names_every_command() -> None:
    import click

    commands = cli.list_commands(click.Context(cli))
    assert [name for name in commands if f"brinecall {name}" not in README] == []


def test_the_guide_names_every_folder_and_every_engine_module() -> None:
    places = [
        *(p.stem for p in (ROOT / "engine").glob("*.py")),
        *(p.name for p in (ROOT / "engine").iterdir() if p.is_dir()),
    ]
    wanted = {p for p in places if not p.startswith("__")} | {"faults", "engine", "interview", "reports", "tests"}
    assert sorted(p for p in wanted if p not in GUIDE) == []


def test_every_path_that_the_guide_names_is_there() -> None:
    """Whole ones from the root, others inside a storey or beside the tests; `<what you name>` stands for any name."""
    spoken = re.findall(r"`([^`\s]+)`", GUIDE)
    named = {name for name in spoken if "/" in name or re.search(r"\.(py|md|yaml|toml)$", name)}
    named = {re.sub(r"<[^>]*>", "*", name).rstrip("/") for name in named if not name.startswith((".venv", "-"))}
    beside = [ROOT, *(ROOT / place for place in ("engine", "reports", "interview", "tests", "tests/benchmarks"))]
    assert len(named) > 30
    assert sorted(name for name in named if not any(any(place.glob(name)) for place in beside)) == []


def test_the_guide_says_where_ten_things_are() -> None:
    _, _, table = GUIDE.partition("## Where is ...?")
    rows = [line for line in table.partition("\n## ")[0].splitlines() if line.startswith("| ")][2:]
    assert len(rows) >= 10
    assert [row for row in rows if "/" not in row.split("|")[2]] == []


def test_the_safety_case_has_every_hazard_and_names_only_what_is_there() -> None:
    """A table for each hazard kind of the knowledge; each row's proofs are tests by name, each named path is a file."""
    from engine.knowledge.properties import HAZARD_KINDS

    case = (ROOT / "engine" / "SAFETY.md").read_text(encoding="utf-8")
    tables = dict(re.findall(r"^## (\w+)\n(.*?)(?=^## |\Z)", case, re.MULTILINE | re.DOTALL))
    assert sorted(tables.keys() & set(HAZARD_KINDS)) == sorted(HAZARD_KINDS)
    rows = [
        row.split("|")
        for row in case.splitlines()
        if row.startswith("| ") and not row.startswith(("| way ", "| what ", "| -"))
    ]
    assert len(rows) > 25
    proofs = [row for row in rows if len(row) == 7]
    assert len(proofs) > 25
    assert [row for row in proofs if not re.fullmatch(r"( `tests/[^`]+::\w+`,?)+ ", row[4])] == []
    named = {name.partition("::") for name in re.findall(r"`([^`\s]+/[^`\s]+)`", case)}
    assert sorted(name for name, _, _ in named if not (ROOT / name).is_file()) == []
    tests = [(ROOT / name, test) for name, _, test in named if test]
    assert sorted(test for path, test in tests if not is_a_test(path, test)) == []


def is_a_test(path: Path, name: str) -> bool:
    """Whether a file holds a test of this name, as a function or as a machine that pytest collects."""
    found = {
        node.name for node in ast.parse(path.read_text(encoding="utf-8")).body if isinstance(node, ast.FunctionDef)
    }
    machines = re.findall(r"^(Test\w+) = \w+\.TestCase$", path.read_text(encoding="utf-8"), re.MULTILINE)
    return name.startswith(("test_", "Test")) and name in {*found, *machines}


def test_a_test_that_is_not_there_is_found() -> None:
    assert is_a_test(Path(__file__), "test_a_test_that_is_not_there_is_found")
    assert not is_a_test(Path(__file__), "is_a_test")
    assert not is_a_test(Path(__file__), "test_nothing_of_the_kind")

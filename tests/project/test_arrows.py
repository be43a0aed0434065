"""The house rules that a reader can rely on, read from the code's own imports."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FOLDERS = ("engine", "interview", "reports", "faults")
MODULES = sorted(path for folder in FOLDERS for path in (ROOT / folder).rglob("*.py"))

MAY_IMPORT = {
    "engine": {"engine"},
    "reports": {"reports", "engine"},
    "interview": {"interview", "reports", "engine"},
    "faults": set[str](),
}
ONE_PLACE = {
    "yaml": {"engine/loading"},
    "pydantic": {"engine/loading"},
    "transitions": {"engine/steps.py"},
    "prompt_toolkit": {"interview/prompts.py"},
    "jinja2": {"reports/forms/environment.py"},
}
NO_CLOCK_NO_TERMINAL = {"datetime.now", "time.time", "print", "input"}


def imports(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            yield node.module


def name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@pytest.mark.parametrize("path", MODULES, ids=name)
def test_imports_go_one_way(path: Path) -> None:
    folder = name(path).split("/")[0]
    ours = {module.split(".")[0] for module in imports(path)} & set(FOLDERS)
    assert ours <= MAY_IMPORT[folder]


def test_no_module_imports_itself_by_way_of_others() -> None:
    """Imports for type checkers are left out, and so is what a package does for all its modules."""
    known = {name(path).removesuffix(".py").replace("/", "."): path for path in MODULES if path.name != "__init__.py"}
    needs = {module: set(imports_when_read(path)) & known.keys() for module, path in known.items()}
    while done := {module for module, others in needs.items() if not others & needs.keys()}:
        needs = {module: others for module, others in needs.items() if module not in done}
    assert needs == {}


def imports_when_read(path: Path) -> Iterator[str]:
    """What a module imports at its top: names of modules, also those taken out of a package."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


@pytest.mark.parametrize("library", ONE_PLACE)
def test_a_library_has_one_place(library: str) -> None:
    users = [name(path) for path in MODULES if library in {module.split(".")[0] for module in imports(path)}]
    assert users
    assert all(any(user.startswith(place) for place in ONE_PLACE[library]) for user in users), users


@pytest.mark.parametrize("path", [p for p in MODULES if name(p).startswith(("engine/", "reports/"))], ids=name)
def test_reasoning_neither_prints_nor_asks_nor_looks_at_a_clock(path: Path) -> None:
    called = {
        ast.unparse(node.func)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
    }
    assert not {call for call in called if call in NO_CLOCK_NO_TERMINAL}


@pytest.mark.parametrize("path", MODULES, ids=name)
def test_a_module_says_what_it_is_for_and_stays_short(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert ast.get_docstring(ast.parse(text))
    assert len(text.splitlines()) <= 400


@pytest.mark.parametrize("path", [p for p in MODULES if p.name != "__init__.py"], ids=name)
def test_a_module_names_what_it_offers(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert any(isinstance(n, ast.Assign) and ast.unparse(n.targets[0]) == "__all__" for n in tree.body)

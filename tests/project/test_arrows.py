"""The house rules that a reader can rely on, read from the code's own imports."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
ORDER = {
    "engine": (
        "foundation",
        "quantities",
        "chlorinator",
        "computations",
        "knowledge",
        "inference",
        "findings",
        "strategy",
        "session",
        "treatment",
        "evaluation",
        "store",
        "learning",
        "proving",
    ),
    "reports": (
        "text_layout",
        "letterhead",
        "harmless_picture",
        "document",
        "page_fit",
        "phrases",
        "view",
        "charts",
        "sheets",
        "renderers",
        "tree_diagram",
        "card",
    ),
    "interview": ("messages", "understanding", "storage", "dialogue", "frontends", "command_line", "commands"),
}
"""The rooms of each storey; each uses only itself and those before it. DEVELOPERS.md says what lives in each."""
STOREYS = ("faults", *ORDER)
MODULES = sorted(path for folder in STOREYS for path in (ROOT / folder).rglob("*.py"))

MAY_IMPORT = {
    "engine": {"engine"},
    "reports": {"reports", "engine"},
    "interview": {"interview", "reports", "engine"},
    "faults": set[str](),
}
ONE_PLACE = {
    "yaml": (
        "engine/foundation/yaml_reader.py",
        "engine/foundation/yaml_errors.py",
        "engine/knowledge/upgrade/",
    ),
    "pydantic": ("engine/knowledge/",),
    "transitions": ("engine/session/machine.py",),
    "prompt_toolkit": ("interview/frontends/",),
    "defusedxml": ("reports/harmless_picture.py",),
    "sqlalchemy": ("engine/store/",),
    "jinja2": ("reports/renderers/environment.py",),
}
NO_CLOCK_NO_TERMINAL = {"datetime.now", "time.time", "print", "input"}


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def imports(path: Path, everywhere: bool = True) -> tuple[str, ...]:
    """The modules that a module imports, also those taken out of a package; at its top alone unless `everywhere`."""
    return tuple(_imports(tree_of(path), everywhere))


def _imports(tree: ast.Module, everywhere: bool) -> Iterator[str]:
    for node in ast.walk(tree) if everywhere else tree.body:
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def test_imports_go_one_way() -> None:
    wrong = {}
    for path in MODULES:
        storey = name(path).split("/")[0]
        ours = {module.split(".")[0] for module in imports(path)} & set(STOREYS)
        if up := ours - MAY_IMPORT[storey]:
            wrong[name(path)] = up
    assert wrong == {}


def room_of(path: Path) -> str:
    """The room of a module inside its storey; empty for the storey's own face."""
    inside = path.relative_to(ROOT).with_suffix("").parts[1]
    return "" if inside == "__init__" else inside


def test_every_room_has_its_place_in_the_order() -> None:
    for storey, rooms in ORDER.items():
        there = {room_of(path) for path in MODULES if name(path).startswith(f"{storey}/")} - {"", "__main__"}
        assert there <= set(rooms), storey


def test_each_room_uses_only_those_before_it() -> None:
    wrong = []
    for path in MODULES:
        storey = name(path).split("/")[0]
        rooms = ORDER.get(storey, ())
        if (room := room_of(path) if rooms else "") not in rooms:
            continue
        above = {f"{storey}.{later}" for later in rooms[rooms.index(room) + 1 :]}
        wrong += [f"{name(path)} -> {used}" for used in imports(path) if ".".join(used.split(".")[:2]) in above]
    assert wrong == []


def test_no_module_imports_itself_by_way_of_others() -> None:
    """Imports for type checkers are left out, and so is what a package does for all its modules."""
    known = {name(path).removesuffix(".py").replace("/", "."): path for path in MODULES if path.name != "__init__.py"}
    needs = {module: set(imports(path, everywhere=False)) & known.keys() for module, path in known.items()}
    while done := {module for module, others in needs.items() if not others & needs.keys()}:
        needs = {module: others for module, others in needs.items() if module not in done}
    assert needs == {}


@pytest.mark.parametrize("library", ONE_PLACE)
def test_a_library_has_one_place(library: str) -> None:
    users = [name(path) for path in MODULES if library in {module.split(".")[0] for module in imports(path)}]
    assert users
    assert [user for user in users if not user.startswith(ONE_PLACE[library])] == []


def test_reasoning_neither_prints_nor_asks_nor_looks_at_a_clock() -> None:
    wrong = {}
    for path in MODULES:
        called = {ast.unparse(node.func) for node in ast.walk(tree_of(path)) if isinstance(node, ast.Call)}
        if name(path).startswith(("engine/", "reports/")) and called & NO_CLOCK_NO_TERMINAL:
            wrong[name(path)] = called & NO_CLOCK_NO_TERMINAL
    assert wrong == {}


def test_a_module_says_what_it_is_for_and_stays_short() -> None:
    silent = [name(path) for path in MODULES if not ast.get_docstring(tree_of(path))]
    long = [name(path) for path in MODULES if len(path.read_text(encoding="utf-8").splitlines()) > 400]
    assert (silent, long) == ([], [])


def test_only_the_face_of_a_package_lists_what_it_offers() -> None:
    lists = [
        name(path)
        for path in MODULES
        if path.name != "__init__.py"
        for node in tree_of(path).body
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"
    ]
    assert lists == []


def test_two_public_classes_never_have_one_name() -> None:
    homes: dict[str, list[str]] = {}
    for path in MODULES:
        for node in tree_of(path).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                homes.setdefault(node.name, []).append(name(path))
    assert {cls: where for cls, where in homes.items() if len(where) > 1} == {}


PLATFORM = {"fcntl", "msvcrt", "termios"}
"""What one platform has and another lacks can be imported only where that is known."""
MOST_LATE = 25


def late_imports() -> Iterator[tuple[str, str, str]]:
    """Every import inside a function: where, of what, and the function's lines above it."""
    for path in MODULES:
        lines = path.read_text(encoding="utf-8").splitlines()
        seen: set[int] = set()
        for function in ast.walk(tree_of(path)):
            if not isinstance(function, ast.FunctionDef):
                continue
            for node in ast.walk(function):
                if isinstance(node, ast.Import | ast.ImportFrom) and node.lineno not in seen:
                    seen.add(node.lineno)
                    what = node.module if isinstance(node, ast.ImportFrom) else node.names[0].name
                    yield f"{name(path)}:{node.lineno}", what or "", "\n".join(lines[function.lineno : node.lineno])


def test_few_imports_are_late_and_each_says_why() -> None:
    late = list(late_imports())
    assert len(late) <= MOST_LATE
    assert [where for where, what, above in late if what not in PLATFORM and "# Late: " not in above] == []

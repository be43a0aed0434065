"""What Windows lacks and refuses, from sources outside the project, and the program run as if it stood there."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator, Sequence
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from types import SimpleNamespace

from tests.interview.people import LIMIT_S, environment

_DEVICES = ("CON", "PRN", "AUX", "NUL", *(f"{port}{number}" for port in ("COM", "LPT") for number in range(1, 10)))
REFUSED_NAME = re.compile(rf"[<>:\"/\\|?*\x00-\x1f]|[. ]$|^(?:{'|'.join(_DEVICES)})(?:\.|$)|^$", re.IGNORECASE)
"""Source: Microsoft, "Naming Files, Paths, and Namespaces": reserved characters, names of devices with an ending or
without, and names that end in a period or a space."""

_PROGRAM = """
import sys
import asyncio, importlib.metadata, os, random, shutil, signal, subprocess, tempfile, threading, types, uuid
import concurrent.futures.process, multiprocessing.reduction
import click, jinja2, numpy, platformdirs, pydantic, pydantic.root_model, transitions, wcwidth, yaml, zoneinfo
for module in {modules!r}:
    sys.modules[module] = None
for module, names in {names!r}:
    for name in names:
        if hasattr(sys.modules[module], name):
            delattr(sys.modules[module], name)
sys.modules["msvcrt"] = locks = types.ModuleType("msvcrt")
locks.LK_NBLCK, locks.LK_UNLCK, locks.locking = 2, 0, lambda file, way, size: None
sys.platform = "win32"
from interview.commands.app import main
sys.exit(main())
"""
"""The libraries are loaded first, as Linux has them; then the project meets a system without what Windows lacks.

`os.name` stays, as Python chooses its kind of path by it; the lock is one that always fits.
"""


def is_refused_name(name: str) -> bool:
    """Whether Windows does not take this as the name of a file or folder."""
    return REFUSED_NAME.search(name) is not None


@cache
def lacking_names(module: str) -> frozenset[str]:
    """What a module of Python's library has on Linux and not on Windows.

    Source: the type stubs of Python's library (typeshed), as mypy brings them.
    """
    stub = next((place for place in _stubs(module) if place.is_file()), None)
    if stub is None:
        return frozenset()
    tree = ast.parse(stub.read_text(encoding="utf-8"))
    return frozenset(_defined(tree.body, "linux")) - frozenset(_defined(tree.body, "win32"))


@cache
def lacking_modules() -> frozenset[str]:
    """The modules of Python's library that hold nothing on Windows. Source: as above."""
    found = set()
    for stub in _library().glob("*.pyi"):
        body = ast.parse(stub.read_text(encoding="utf-8")).body
        if set(_defined(body, "linux")) and not set(_defined(body, "win32")):
            found.add(stub.stem)
    return frozenset(found)


def run_as_on_windows(
    jobs: Path, arguments: Sequence[str], typed: bytes = b"", **more: str
) -> subprocess.CompletedProcess[bytes]:
    """Run the program where everything is missing that Windows lacks."""
    names = tuple((module, sorted(lacking_names(module))) for module in ("os", "signal", "time"))
    program = _PROGRAM.format(modules=sorted(lacking_modules()), names=names)
    return subprocess.run(
        [sys.executable, "-c", program, *arguments],
        input=typed,
        capture_output=True,
        timeout=LIMIT_S,
        env=environment(jobs, **more),
        check=False,
    )


def _library() -> Path:
    found = find_spec("mypy")
    assert found is not None
    assert found.submodule_search_locations is not None
    return Path(found.submodule_search_locations[0]) / "typeshed" / "stdlib"


def _stubs(module: str) -> Iterator[Path]:
    yield _library() / f"{module}.pyi"
    yield _library() / module / "__init__.pyi"


def _defined(body: Sequence[ast.stmt], platform: str) -> Iterator[str]:
    """The names that a stub defines on a platform; what it imports from elsewhere is not its own."""
    for node in body:
        match node:
            case ast.If(test=test):
                taken = node.body if _holds(test, platform) else node.orelse
                yield from _defined(taken, platform)
            case ast.FunctionDef(name=name) | ast.ClassDef(name=name):
                yield name
            case ast.AnnAssign(target=ast.Name(id=name)) if not name.startswith("_"):
                yield name
            case ast.Assign(targets=[ast.Name(id=name)]) if not name.startswith("_"):
                yield name


def _holds(test: ast.expr, platform: str) -> bool:
    known = SimpleNamespace(platform=platform, version_info=sys.version_info)
    return bool(eval(ast.unparse(test), {"sys": known, "__builtins__": {}}))

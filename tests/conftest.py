"""For every test: the choices and the language of whoever runs the tests must not change what is tested.

Properties have no deadline, since a clock says more of the machine than of the code.
With `--hypothesis-profile=ci` the examples are the same in every run, and what reproduces a failure is printed;
with `--hypothesis-profile=long` there are a hundred of them, and those that a test asks for by itself.
"""

from __future__ import annotations

import gc
import os
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

import tests.read_once  # noqa: F401  # before whatever reads
from engine.quantities.unit_systems import use_system
from tests.machine import pytest_collection_modifyitems, pytest_terminal_summary, pytest_xdist_make_scheduler

__all__ = [
    "no_process_unsaid",
    "nobodys_settings",
    "pytest_collection_finish",
    "pytest_collection_modifyitems",
    "pytest_terminal_summary",
    "pytest_xdist_make_scheduler",
]


# Garbage is rare, and looked for no oftener than need be.
gc.set_threshold(50_000, 20, 20)
# The tables are small, and the tests share the cores already: threads that wait for one another only cost time.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# Papers tell the time of the clocks here, and those are another in each place where the tests run.
os.environ["TZ"] = "UTC"
if hasattr(time, "tzset"):
    time.tzset()
# Whoever runs the tests by hand meets other examples each time, and as many more as are wanted by `long`.
settings.register_profile("here", deadline=None, max_examples=25)
settings.register_profile("long", deadline=None)
# The same examples each time find nothing new in more of them.
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True, max_examples=25)
settings.load_profile("here")


def pytest_collection_finish() -> None:
    """Tests, modules and the shipped knowledge stay until the end: nobody looks for garbage among them."""
    gc.collect()
    gc.freeze()


@pytest.fixture(autouse=True)
def no_process_unsaid(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """The quick tests start no process: only what is marked as `e2e` or `browser` may."""
    if any(request.node.get_closest_marker(name) for name in ("e2e", "browser")):
        return

    def refuse(*_: object, **__: object) -> None:
        pytest.fail("this test starts a process: mark it with pytest.mark.e2e")

    monkeypatch.setattr(subprocess.Popen, "__init__", refuse)
    monkeypatch.setattr(os, "forkpty", refuse, raising=False)


@pytest.fixture(autouse=True)
def nobodys_settings(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """An empty folder for settings, and plain English; programs that a test starts find them too."""
    # Where it is dumb, papers are printed as they are read aloud.
    monkeypatch.setenv("TERM", "xterm")
    folder = tmp_path_factory.getbasetemp() / "settings"
    folder.mkdir(exist_ok=True)
    monkeypatch.setenv("BRINECALL_CONFIG", str(folder))
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    monkeypatch.delenv("LANGUAGE", raising=False)
    monkeypatch.delenv("BRINECALL_FAULTS", raising=False)
    # Filing a job takes longer than most tests; those of the store say where theirs is.
    monkeypatch.setenv("BRINECALL_STORE", "none")
    use_system("metric")
    yield folder
    for kept in ("preferences.json", "shop.json"):
        (folder / kept).unlink(missing_ok=True)

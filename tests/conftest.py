"""For every test: the choices and the language of whoever runs the tests must not change what is tested."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.machine import pytest_collection_modifyitems, pytest_terminal_summary

__all__ = ["nobodys_settings", "pytest_collection_modifyitems", "pytest_terminal_summary"]


@pytest.fixture(autouse=True)
def nobodys_settings(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """An empty folder for settings, and plain English; programs that a test starts find them too."""
    folder = tmp_path_factory.getbasetemp() / "settings"
    folder.mkdir(exist_ok=True)
    monkeypatch.setenv("BRINECALL_CONFIG", str(folder))
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    monkeypatch.delenv("LANGUAGE", raising=False)
    yield folder
    (folder / "preferences.json").unlink(missing_ok=True)

"""A paper longer than the screen is read in the machine's pager, which does nothing else."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from interview.frontends.paging import show_paged
from tests.interview.frontends.test_terminal import Terminal


def test_what_the_pager_is_told_is_told_to_it_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: dict[str, str] = {}
    monkeypatch.setattr("click.echo_via_pager", lambda _, **__: seen.update(os.environ))
    monkeypatch.setenv("LESS", "-F")
    monkeypatch.delenv("LESSSECURE", raising=False)
    monkeypatch.setenv("LESSHISTFILE", "mine")
    show_paged("text")
    assert seen["LESSSECURE"] == "1"
    assert seen["LESSHISTFILE"] == "-"
    assert seen["LESS"].startswith("-F -Ps")
    assert (os.environ["LESS"], os.environ.get("LESSSECURE"), os.environ["LESSHISTFILE"]) == ("-F", None, "mine")


def test_what_is_meant_for_the_interview_and_typed_in_the_pager_is_written_nowhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert shutil.which("less"), "less is missing"
    here, jobs = tmp_path / "here", tmp_path / "jobs"
    here.mkdir()
    monkeypatch.chdir(here)
    terminal = Terminal(
        jobs, "ask", "--role", "counter", "--complaint", "low-salt", rows=12, PAGER="less", HOME=str(here)
    )
    terminal.see("or ? >")
    terminal.child.send("none\r")
    terminal.see("A water sample and the cell")
    terminal.see("or ? >")
    terminal.child.send("finish\r")
    terminal.see("Keep it open")
    terminal.see("or ? >")
    terminal.child.send("sheet\r")
    terminal.see("leave this page")
    terminal.child.send('record customer="Ann Example" telephone="555 0134"\r')
    terminal.child.send("q")
    terminal.see("or ? >")
    terminal.child.send("leave\r")
    terminal.end()
    assert [path.name for path in here.iterdir()] == []

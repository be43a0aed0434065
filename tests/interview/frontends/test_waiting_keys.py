"""What is put off, changed or can be done after all, by keys and over the pipe, and broken off meanwhile."""

from __future__ import annotations

import json
import signal
from pathlib import Path

import pytest

from engine.session.journal import Event, Journal, read_events
from engine.session.session import Session
from tests.interview.frontends.test_terminal import CTRL_C, CTRL_D, Terminal
from tests.interview.people import run
from tests.shipped import knowledge, models

pytestmark = [pytest.mark.e2e, pytest.mark.no_cover]  # whole calls through branches that other tests take too

AT = "2026-05-04T09:30:00Z"
BEGUN = (("role", "field"), ("danger_now", "none"), ("unit", "default"), ("complaint", "no-output"))


def kept(jobs: Path, *more: Event) -> None:
    """A job on disk, as if begun on an earlier day."""
    journal = Journal(jobs, "job")
    journal.write(Event("opened", AT, value="job", text=knowledge().fingerprint))
    for about, value in BEGUN:
        journal.write(Event("answered", AT, about=about, value=value))
    for event in more:
        journal.write(event)
    journal.close()


def session_of(jobs: Path) -> Session:
    (path,) = jobs.glob("*.jsonl")
    return Session(models(), read_events(path))


def test_over_the_pipe_what_could_not_be_done_can_be_after_all(tmp_path: Path) -> None:
    said: list[dict[str, object]] = [{"answer": value} for _, value in BEGUN]
    said += [{"ask": "cell_voltage"}, {"cant": "no meter"}, {"can": "meter"}, {"leave": True}]
    done = run(tmp_path, "ask", "--pipe", typed="".join(f"{json.dumps(item)}\n" for item in said))
    assert done.returncode == 0, done.stderr
    assert not [line["error"] for line in map(json.loads, done.stdout.splitlines()) if "error" in line]
    kinds = [(event.kind, event.about) for event in session_of(tmp_path).events[-2:]]
    assert kinds == [("cant", "cell_voltage"), ("lifted", "cell_voltage")]
    assert session_of(tmp_path).job.barred == {}


def test_later_the_figures_the_list_and_a_change_by_keys(tmp_path: Path) -> None:
    kept(tmp_path)
    terminal = Terminal(tmp_path, "resume")
    terminal.see("or ? >")
    terminal.child.send("??")
    terminal.see("minutes")
    terminal.child.send("list\r")
    terminal.see("1. ")
    terminal.see("4. ")
    terminal.see("or ? >")
    terminal.child.send("change 3\r")
    terminal.see("or ? >")
    terminal.child.send("low-salt\r")
    terminal.see("or ? >")
    terminal.child.send("later monday\r")
    terminal.see("monday")
    terminal.see("or ? >")
    terminal.child.send("leave\r")
    shown, code = terminal.end()
    assert code == 0
    assert "Traceback" not in shown
    job = terminal.session.job
    assert job.complaint == "low-salt"
    assert list(job.waiting.values()) == ["monday"]


@pytest.mark.parametrize("way", [signal.SIGHUP, signal.SIGTERM, CTRL_C, CTRL_D])
def test_breaking_off_while_what_waited_is_asked_leaves_it_waiting(tmp_path: Path, way: signal.Signals | str) -> None:
    kept(tmp_path, Event("deferred", AT, about="cell_plates", text="monday"))
    before = session_of(tmp_path).events
    terminal = Terminal(tmp_path, "resume")
    terminal.see("First, what was put off")
    terminal.see("or ? >")
    if isinstance(way, str):
        terminal.child.send(way)
    else:
        terminal.child.kill(way)
    shown, code = terminal.end()
    assert code == {CTRL_C: 130, CTRL_D: 0}.get(str(way), code if isinstance(way, str) else 128 + way)
    assert "Traceback" not in shown
    # That it was taken up, and by whom, is all that is new.
    assert [event for event in terminal.session.events if event.kind != "resumed"] == list(before)
    assert terminal.session.job.waiting == {"cell_plates": "monday"}

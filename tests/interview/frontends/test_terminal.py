"""The real program in a pseudo-terminal."""

from __future__ import annotations

import signal
import time
from pathlib import Path

import pexpect
import pytest

from engine.session.journal import read_events
from engine.session.session import Session
from interview.frontends.terminal import _interrupts_held_back
from tests.interview.people import LIMIT_S, PROGRAM, environment, heeding_signals
from tests.shipped import models

pytestmark = [pytest.mark.e2e, pytest.mark.no_cover]  # whole calls through branches that other tests take too

CTRL_C, CTRL_D = "\x03", "\x04"
LAST_ANSWERS = [
    r"3  Technician at the pool",
    r"5  tingle or shock felt|5  Someone felt",
    r"3  Small unit, one light|3  A plain unit",
    r"5  .*cold water|5  .*too cold",
    r"Question [0-9]+ of at most [0-9]+\.",
    r"2  Not done yet",
]
"""By these a new question is told from the redrawn prompt of the one before."""


PROMPT = r"or \?(?: for help)? >|only Return for: [^\r\n]* > "
"""What stands before the cursor, as it is seen or, where the terminal is dumb, read aloud."""


class Terminal:
    """The program on a terminal of its own."""

    def __init__(self, jobs: Path, *arguments: str, columns: int = 80, rows: int = 24, **more: str) -> None:
        self.jobs = jobs
        env = {key: value for key, value in environment(jobs, **more).items() if key != "COLUMNS"}
        self.child = pexpect.spawn(
            PROGRAM[0],
            [*PROGRAM[1:], *arguments],
            env=env,
            dimensions=(rows, columns),
            timeout=LIMIT_S,
            encoding="utf-8",
            preexec_fn=heeding_signals,
        )

    def see(self, text: str) -> str:
        self.child.expect_exact(text)
        return str(self.child.before)

    def type(self, *typed: str) -> None:
        """Type a line each time that a new question (known by the last of its answers) waits for one."""
        for line in typed:
            self.child.expect(LAST_ANSWERS)
            self.child.expect(PROMPT)
            self.child.send(line + "\r")

    def wait(self) -> str:
        """Wait for the next question; what was shown before it."""
        self.child.expect(LAST_ANSWERS)
        before = str(self.child.before) + str(self.child.match.group())
        self.child.expect(PROMPT)
        return before + str(self.child.before)

    def end(self) -> tuple[str, int]:
        shown = str(self.child.read())
        self.child.close()
        return shown, self.child.exitstatus if self.child.exitstatus is not None else 128 + int(self.child.signalstatus)

    @property
    def session(self) -> Session:
        (path,) = self.jobs.glob("*.jsonl")
        return Session(models(), read_events(path))


@pytest.fixture
def jobs(tmp_path: Path) -> Path:
    return tmp_path / "jobs"


def test_a_call_by_keys_with_help_back_and_one_odd_unit(jobs: Path) -> None:
    terminal = Terminal(jobs, "--jobs", str(jobs))
    # The pump and what was done just before come first.
    terminal.type("3", "none", "1", "cold", "dk", "dk")
    assert "Question 3 of at most 20." in terminal.wait()
    terminal.child.send("?")
    terminal.see('"?" again for')
    terminal.child.send("51.8 F\r")
    terminal.see("= 11 °C")
    assert "So far" in terminal.wait()
    terminal.child.send("<")
    assert "Question 3 of at most 20." in terminal.wait()
    terminal.child.send("dk\r")
    terminal.see("Question 4 of at most 20.")
    terminal.child.send("leave\r")
    shown, code = terminal.end()
    assert code == 0
    assert "resume" in shown
    kinds = [event.kind for event in terminal.session.events]
    assert kinds[-3:] == ["answered", "taken_back", "dont_know"]


@pytest.mark.parametrize(
    ("key", "code", "term", "answers"),
    [
        (CTRL_C, 130, "xterm", []),
        (CTRL_D, 0, "xterm", []),
        (CTRL_C, 130, "dumb", ["field"]),
        (CTRL_D, 0, "xterm", ["field", "none"]),
        (CTRL_C, 130, "xterm", ["field", "none", "default", "low-salt"]),
    ],
)
def test_breaking_off_anywhere_keeps_every_answer(
    jobs: Path, key: str, code: int, term: str, answers: list[str]
) -> None:
    terminal = Terminal(jobs, TERM=term)
    terminal.type(*answers)
    terminal.wait()
    terminal.child.send(key)
    shown, status = terminal.end()
    assert status == code
    assert "Traceback" not in shown
    if not answers:
        assert list(jobs.glob("*")) == []
        return
    assert f"brinecall resume {next(jobs.glob('*.jsonl')).stem}" in shown.replace("\r\n", " ")
    assert [event.value for event in terminal.session.events if event.kind == "answered"] == answers


@pytest.mark.parametrize("number", [signal.SIGHUP, signal.SIGTERM])
def test_a_lost_terminal_and_a_request_to_end_lose_nothing(jobs: Path, number: signal.Signals) -> None:
    terminal = Terminal(jobs)
    terminal.type("field", "none")
    terminal.wait()
    terminal.child.kill(number)
    shown, status = terminal.end()
    assert status == 128 + number
    assert "Traceback" not in shown
    assert terminal.session.next().about == "unit"


def test_ctrl_c_during_start_up_is_quiet(jobs: Path) -> None:
    for moment in (0.05, 0.15, 0.3):
        terminal = Terminal(jobs)
        terminal.see("What is the problem?")
        time.sleep(moment)
        terminal.child.kill(signal.SIGINT)
        shown, status = terminal.end()
        assert "Traceback" not in shown
        assert status == 130


def test_ctrl_c_while_the_editor_loads_waits_until_it_is_loaded() -> None:
    """Raised in the middle it may meet what drops it, such as the clearing up of a module's lock."""
    before, loaded = signal.getsignal(signal.SIGINT), list[str]()
    with pytest.raises(KeyboardInterrupt):
        _load_while_interrupted(loaded)
    assert loaded
    assert signal.getsignal(signal.SIGINT) is before


def _load_while_interrupted(loaded: list[str]) -> None:
    with _interrupts_held_back():
        signal.raise_signal(signal.SIGINT)
        loaded.append("the editor")


@pytest.mark.parametrize("delay", [0.0, 0.1, 0.3])
def test_breaking_off_while_the_knowledge_loads_keeps_the_answer(jobs: Path, delay: float) -> None:
    terminal = Terminal(jobs)
    terminal.type("field")
    terminal.see("= Technician")
    time.sleep(delay)
    terminal.child.kill(signal.SIGINT)
    shown, status = terminal.end()
    assert status == 130
    assert "Traceback" not in shown
    assert terminal.session.job.role == "field"


def test_what_is_typed_before_the_prompt_stands_is_not_lost(jobs: Path) -> None:
    terminal = Terminal(jobs)
    terminal.see("What is the problem?")
    terminal.child.send("3\r")
    terminal.see("none; looked and asked")
    # A key that ends a line is the terminal's own until the prompt stands; only what is typed waits there.
    terminal.see("or ? >")
    terminal.child.send(CTRL_D)
    terminal.end()
    assert terminal.session.job.role == "field"


def test_tab_completes_an_answer_and_nothing_does_so_by_itself(jobs: Path) -> None:
    terminal = Terminal(jobs)
    terminal.wait()
    terminal.child.send("Tech\t")
    terminal.see("Technician at the pool")
    terminal.child.send("\r")
    terminal.wait()
    terminal.child.send(CTRL_D)
    terminal.end()
    assert terminal.session.job.role == "field"

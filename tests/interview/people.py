"""Stand-ins for the tests of the interview: a person with a list of replies, a sheet, and the program as a process."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from unittest.mock import patch

from engine.foundation import texts
from engine.session.journal import Event
from engine.session.outcome import outcome_of
from engine.session.session import Session
from interview.commands.app import command_line
from interview.frontends.encoding import write_legibly
from interview.messages import CautionText, Choice, Control, Heard, Measure, Question, Reply, Sheet

ROOT = Path(__file__).parents[2]
LIMIT_S = 120.0
"""How long a test waits for a process: long enough for a machine with ten times the load."""
PROGRAM = [sys.executable, "-c", "import sys; from interview.commands.app import main; sys.exit(main())"]

COLOURS = Question(
    kind="ask",
    about="plates",
    text="What colour are the plates?",
    choices=(
        Choice("grey", "Grey, as new"),
        Choice("white_scale", "White scale on the plates"),
        Choice("white_fluff", "White fluff that rinses off"),
        Choice("no_plates", "No plates to be seen"),
    ),
    how="Look through the clear end.",
    why=("It tells scale from wear.",),
    unknown="this check is skipped",
    may_fail=True,
    harmless=True,
)
SALT = Question(
    kind="ask",
    about="tested_salt",
    text="What does a salt test show?",
    measure=Measure("ppm", "salt", (0.0, 40000.0), (240.0, 13500.0)),
    unknown="this check is skipped",
    may_fail=True,
)


def clock() -> datetime:
    """A clock that stands still."""
    return datetime(2026, 5, 4, 9, 30, tzinfo=UTC)


@dataclass
class Memory:
    """A journal that keeps nothing but a list."""

    events: list[Event] = field(default_factory=list)

    def write(self, event: Event) -> None:
        """Keep one event."""
        self.events.append(event)


@dataclass
class PaperSheet:
    """A sheet that says only what is next."""

    session: Session

    def in_short(self) -> tuple[str, ...]:
        """What it comes to."""
        return (self.headline(),)

    def text(self, _columns: int = 80, _annex: bool = False) -> str:
        """The sheet."""
        return f"SHEET of {len(self.session.events)} events\n"

    def made(self) -> bytes:
        """The sheet as a file holds it."""
        return self.text().encode()

    def data(self) -> Mapping[str, object]:
        """The sheet as data."""
        return {"decision": self.decision()}

    def decision(self) -> str:
        """What the session decides."""
        return outcome_of(self.session, None).conclusion.decision

    def headline(self) -> str:
        """In short."""
        return f"Decided: {self.decision()}."

    def day_due(self) -> str:
        """It tells of no day."""
        return ""


@dataclass
class ListedPerson:
    """A front end that replies from a list, then leaves, and remembers what it was shown."""

    replies: list[Reply]
    asked: list[Question] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    sheets: list[str] = field(default_factory=list)
    understood: list[Heard] = field(default_factory=list)

    def put(self, question: Question, shown: Callable[[], None]) -> Reply:
        """The next reply."""
        self.asked.append(question)
        shown()
        return self.replies.pop(0) if self.replies else Control.LEAVE

    def tell(self, text: str, cautions: tuple[CautionText, ...] = ()) -> None:
        """Remember what was said."""
        self.said.append(text)
        self.cautions += [caution.id for caution in cautions]

    def heard(self, heard: Heard) -> bool:
        """Remember what was understood; such a person may be asked back."""
        self.understood.append(heard)
        return True

    def show_sheet(self, sheet: Sheet) -> None:
        """Remember the sheet."""
        self.sheets.append(sheet.text())


def opened(session: Session, *said: tuple[str, str | float]) -> Session:
    """The session with its first events: what was said of role, danger, unit and so on."""
    at = "2026-05-04T09:30:00Z"
    session.record(Event("opened", at, value="job", text=session.knowledge.fingerprint))
    for about, value in said:
        session.record(Event("answered", at, about=about, value=value))
    return session


def heeding_signals() -> None:
    """As a program of a terminal begins, however the tests were started: a shell may let those behind it heed none."""
    for name in ("SIGINT", "SIGHUP", "SIGTERM"):
        signal.signal(getattr(signal, name), signal.SIG_DFL)


def environment(jobs: Path, **more: str) -> dict[str, str]:
    """What the program finds around it: jobs kept in this folder, an ordinary terminal."""
    return {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "BRINECALL_JOBS": str(jobs),
        "TERM": "xterm",
        "COLUMNS": "80",
        "BRINECALL_CONFIG": f"{jobs}-choices",
        **more,
    }


def started(jobs: Path, *arguments: str, typed: str | bytes = "", **more: str) -> subprocess.CompletedProcess[str]:
    """Start the program as a process of its own, on plain lines, and wait for it."""
    done = subprocess.run(
        [*PROGRAM, *arguments],
        input=_bytes(typed),
        capture_output=True,
        timeout=LIMIT_S,
        env=environment(jobs, **more),
        check=False,
    )
    return subprocess.CompletedProcess(done.args, done.returncode, done.stdout.decode(), done.stderr.decode())


def run_in_bytes(
    jobs: Path, *arguments: str, typed: str | bytes = "", **more: str
) -> subprocess.CompletedProcess[bytes]:
    """Run a command line on plain lines as `started` does, but in this process.

    It starts where `main` has prepared the process: the streams in the encoding of `PYTHONIOENCODING`, else UTF-8.
    What it lacks is what a process alone has: signals, a terminal, a time zone, a file that closes at the other end.
    """
    encoding, _, errors = more.get("PYTHONIOENCODING", "utf-8").partition(":")
    given = io.TextIOWrapper(io.BufferedReader(io.BytesIO(_bytes(typed))), encoding, errors or "strict")
    shown, told = io.BytesIO(), io.BytesIO()
    voice = list(texts._IN_USE)
    with (
        patch.dict(os.environ, environment(jobs, **more), clear=True),
        patch.object(sys, "stdin", given),
        patch.object(sys, "stdout", io.TextIOWrapper(shown, encoding, errors or "strict", newline="\n")),
        patch.object(sys, "stderr", io.TextIOWrapper(told, encoding, "backslashreplace", newline="\n")),
    ):
        try:
            write_legibly()
            code = command_line(arguments)
            sys.stdout.flush()
            sys.stderr.flush()
            return subprocess.CompletedProcess(arguments, code, shown.getvalue(), told.getvalue())
        finally:
            texts._IN_USE[:] = voice


def run(jobs: Path, *arguments: str, typed: str | bytes = "", **more: str) -> subprocess.CompletedProcess[str]:
    """Run a command line on plain lines in this process; what it says as text."""
    done = run_in_bytes(jobs, *arguments, typed=typed, **more)
    return subprocess.CompletedProcess(done.args, done.returncode, done.stdout.decode(), done.stderr.decode())


def _bytes(typed: str | bytes) -> bytes:
    return typed.encode() if isinstance(typed, str) else typed


def sleeps(pid: int) -> bool:
    """Whether a process waits for something other than its turn; where there is no `/proc`, taken for granted.

    Source: proc_pid_stat(5) of Linux; the state stands behind the name in parentheses, and S is an interruptible wait.
    """
    stat = Path("/proc", str(pid), "stat")
    return not stat.exists() or stat.read_text().rpartition(")")[2].split()[0] == "S"


def lines(*typed: str) -> str:
    """Typed lines, each with its Return."""
    return "".join(f"{line}\n" for line in typed)


def whole(replies: Sequence[Reply]) -> ListedPerson:
    """A person with these replies."""
    return ListedPerson(list(replies))

"""What Windows asks of the program, held as far as a machine without Windows can hold it."""

from __future__ import annotations

import ast
import errno
import io
import os
import sys
import types
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.session.journal import Event, Journal, JournalError, read_events
from interview.command_line.context import Places
from interview.command_line.output import ENDINGS
from interview.commands import app
from interview.storage import jobs
from interview.storage.atomic_write import write_whole
from tests.interview.people import ROOT, lines
from tests.interview.windows import is_refused_name, lacking_modules, lacking_names, run_as_on_windows

pytestmark = pytest.mark.no_cover  # whole calls through branches that other tests take too

PACKAGES = ("engine", "interview", "reports")
MODULES = sorted(path for package in PACKAGES for path in (ROOT / package).rglob("*.py"))
GUARDS = ("sys.platform", "os.name")
EVENT = Event("opened", "2026-05-04T09:30:00Z", value="job")
HANDBOOK = {"posix", "pwd", "grp", "termios", "tty", "pty", "fcntl", "resource", "syslog"}
"""Source: Python's library reference, chapter "Unix-specific services" (from memory)."""


def not_on_windows(code: str) -> Iterator[str]:
    """What a module imports or names outside a guard that Windows has not; a function with a guard is guarded."""
    tree = ast.parse(code)
    for node in unguarded(tree) if any(guard in code for guard in GUARDS) else ast.walk(tree):
        match node:
            case ast.Import(names=names):
                yield from (alias.name for alias in names if alias.name in lacking_modules())
            case ast.ImportFrom(module=str(module), names=names):
                whole = module in lacking_modules()
                lacking = [f"{module}.{alias.name}" for alias in names if alias.name in lacking_names(module)]
                yield from [module] if whole else lacking
            case ast.Attribute(value=ast.Name(id=module), attr=name) if name in lacking_names(module):
                yield f"{module}.{name}"


def unguarded(node: ast.AST) -> Iterator[ast.AST]:
    if isinstance(node, ast.FunctionDef | ast.If) and any(guard in ast.unparse(node) for guard in GUARDS):
        return
    yield node
    for child in ast.iter_child_nodes(node):
        yield from unguarded(child)


def test_the_stubs_are_read_as_the_handbook_says() -> None:
    assert lacking_modules() >= HANDBOOK
    assert {"fork", "getuid", "uname", "mkfifo", "chown"} <= lacking_names("os")
    assert {"SIGHUP", "SIGKILL", "SIGALRM"} <= lacking_names("signal")
    assert not {"fsync", "replace", "umask", "ftruncate", "get_terminal_size"} & lacking_names("os")
    assert not {"SIGINT", "SIGTERM"} & lacking_names("signal")


@pytest.mark.parametrize(
    ("code", "found"),
    [
        ("import fcntl", ["fcntl"]),
        ("from pwd import getpwnam", ["pwd"]),
        ("def f():\n    import termios", ["termios"]),
        ("import os\nos.fork()", ["os.fork"]),
        ("from os import getuid", ["os.getuid"]),
        ("import signal\nsignal.signal(signal.SIGHUP, signal.SIG_IGN)", ["signal.SIGHUP"]),
        ("import sys\ndef f():\n    if sys.platform == 'win32':\n        return\n    import fcntl", []),
        ("import os\nos.fsync(3)", []),
    ],
)
def test_what_windows_lacks_is_found(code: str, found: list[str]) -> None:
    assert list(not_on_windows(code)) == found


def test_no_module_needs_what_windows_lacks() -> None:
    assert [(path.name, what) for path in MODULES for what in not_on_windows(path.read_text(encoding="utf-8"))] == []


def by_the_code_page(code: str) -> Iterator[str]:
    """Where a text file is opened without a word on its encoding.

    Source: PEP 597: without `encoding` it is read and written in the code page of the machine.
    """
    for node in ast.walk(ast.parse(code)):
        match node:
            case ast.Call(func=ast.Name(id="open") | ast.Attribute(attr="fdopen" | "read_text" | "write_text")):
                binary = any(isinstance(part, ast.Constant) and str(part.value).endswith("b") for part in node.args)
                if not binary and not any(word.arg == "encoding" for word in node.keywords):
                    yield ast.unparse(node.func)


def test_text_files_are_never_read_by_the_code_page() -> None:
    assert list(by_the_code_page("open(path)\npath.read_text()\nopen(path, 'rb')")) == ["open", "path.read_text"]
    found = [what for path in MODULES for what in by_the_code_page(path.read_text(encoding="utf-8"))]
    # A page of help is written into memory.
    assert [what for what in found if what != "formatter.write_text"] == []


def test_no_control_sequence_is_of_our_own_making() -> None:
    """Colours and the cursor are prompt_toolkit's, which knows Windows; but for the terminal given back on SIGTERM.

    What puts a text on the clipboard is a sequence of a standard, and goes out by prompt_toolkit too.
    """
    found = []
    for path in MODULES:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        found += [path.name for node in ast.walk(tree) if isinstance(node, ast.Constant) and "x1b" in repr(node.value)]
    assert set(found) == {"clipboard.py", "terminal.py"}


@pytest.mark.e2e
def test_a_whole_call_without_anything_that_windows_lacks(tmp_path: Path) -> None:
    folder = tmp_path / "my jobs"
    begun = run_as_on_windows(
        folder,
        ["--jobs", str(folder)],
        lines("field", "none", "1", "cold-water", "18 C", "?", "?", "help", "list", "leave")
        .replace("\n", "\r\n")
        .encode(),
    )
    assert begun.returncode == 0, begun.stderr
    said = begun.stderr.decode()
    assert f'brinecall --jobs "{folder}" resume ' in said
    assert len(said.splitlines()) == 2
    closed = run_as_on_windows(folder, ["resume"], b"finish\r\n1\r\n")
    assert closed.returncode == 0
    assert closed.stderr.startswith(b"The job is closed.")
    (journal,) = folder.glob("*.jsonl")
    assert read_events(journal)[-1].kind == "closed"
    names = sorted(path.name for path in folder.iterdir() if path.is_file())
    assert names == [journal.name, f"{journal.stem}.txt"]
    assert [name for name in names if is_refused_name(name)] == []


@pytest.mark.e2e
@pytest.mark.parametrize(
    "arguments",
    [
        ["ask", "--pipe"],
        ["try", str(ROOT / "faults" / "calls" / "visible.yaml")],
        ["check"],
        ["compute", "salt-dose", "volume=50", "now=1200ppm", "target=3.2g/L"],
        ["draw", "low-salt"],
        ["ask", "--facts", str(ROOT / "faults" / "calls" / "visible.yaml")],
    ],
    ids=lambda arguments: arguments[0],
)
def test_every_command_does_without_what_windows_lacks(tmp_path: Path, arguments: list[str]) -> None:
    done = run_as_on_windows(tmp_path, arguments, b'{"answer": "field"}\r\n{"leave": true}\r\n')
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr
    assert done.stdout or arguments == ["check"]


@pytest.mark.parametrize(
    ("name", "refused"),
    [
        *((name, True) for name in ("nul", "COM1.txt", "con.tar.gz", "a.", "a ", "a:b", "a?", "a/b", "\x07", "")),
        *((name, False) for name in ("common", "com.txt", "2026-05-04-0930.txt", "null", "año", ".ci", "a.b.c")),
    ],
)
def test_the_rule_for_names_refuses_what_windows_refuses(name: str, refused: bool) -> None:
    assert is_refused_name(name) == refused


@given(st.datetimes(min_value=datetime(1970, 1, 1)), st.integers(2, 500))
def test_the_names_of_jobs_and_sheets_are_names_on_windows(now: datetime, number: int) -> None:
    names: list[str] = []

    class NamedError(Exception):
        pass

    def refuse(_: Path, job: str, *, new: bool, rights: int) -> Journal:
        assert new
        assert rights
        names.append(job)
        if len(names) < number:
            raise FileExistsError
        raise NamedError

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(jobs, "Journal", refuse)
        with pytest.raises(NamedError):
            jobs.new_job(Path("nowhere"), now)
    endings = (".jsonl", *ENDINGS.values())
    assert [name for job in names for end in endings if is_refused_name(name := f"{job}{end}")] == []
    assert len({name.casefold() for name in names}) == number


def test_every_file_of_the_project_can_stand_on_a_windows_disk() -> None:
    """Names that Windows takes, none that differ in capitals only."""
    folders = [ROOT / name for name in (*PACKAGES, "faults", "tests")]
    paths = [path for folder in folders for path in folder.rglob("*") if "__pycache__" not in path.parts]
    assert [path for path in paths if is_refused_name(path.name)] == []
    assert len({str(path).casefold() for path in paths}) == len(paths)


def arguments_of(line: str) -> list[str]:
    """The arguments of a command line as a program on Windows gets them.

    Source: Microsoft, "Parsing C command-line arguments" (from memory): backslashes are themselves unless a quotation
    mark follows; then two of them make one, and an odd one more makes the mark a character.
    """
    found: list[str] = []
    place, inside, word = 0, False, None
    while place < len(line):
        strokes = len(line[place:]) - len(line[place:].lstrip("\\"))
        place += strokes
        mark = line[place : place + 1] == '"'
        if strokes:
            word = (word or "") + "\\" * (strokes // 2 if mark else strokes)
        if mark:
            inside, word = (inside, (word or "") + '"') if strokes % 2 else (not inside, word or "")
            place += 1
        elif not strokes:
            if line[place] in " \t" and not inside:
                found += [word] if word is not None else []
                word = None
            else:
                word = (word or "") + line[place]
            place += 1
    return [*found, word] if word is not None else found


FOLDERS = st.text(st.sampled_from("aZ9 ñ\\&|^()%!$';,=-_.~#@+{}[]`"), min_size=1, max_size=12)


@given(FOLDERS, FOLDERS)
def test_the_line_to_go_on_is_one_that_windows_shells_take(faults: str, kept: str) -> None:
    places = Places(Path(f"C:\\{faults}"), Path(f"D:\\{kept}"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "platform", "win32")
        line = places.command("resume", "2026-05-04-0930")
    wanted = ["brinecall", "--faults", str(places.faults), "--jobs", str(places.jobs), "resume", "2026-05-04-0930"]
    assert arguments_of(line) == wanted
    # cmd.exe takes these for orders wherever they stand outside double quotes (its own help, `cmd /?`, from memory).
    assert not set("&|<>^();,=!'`+{}[]~") & set("".join(line.split('"')[::2]))


def test_drive_letters_and_backslashes_stand_as_they_are_typed_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "win32")
    assert Places(jobs=Path("D:\\jobs")).command("resume", "j") == r"brinecall --jobs D:\jobs resume j"
    assert Places(jobs=Path("D:\\my jobs\\")).command("resume", "j") == r'brinecall --jobs "D:\my jobs\\" resume j'


def test_a_file_that_is_open_elsewhere_is_not_replaced_and_nothing_is_left_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows refuses to put a file in the place of one that another program holds open."""
    path = tmp_path / "sheet.txt"
    path.write_bytes(b"old")

    def held(_: Path, target: Path) -> Path:
        raise PermissionError(errno.EACCES, "The process cannot access the file", str(target))

    monkeypatch.setattr(Path, "replace", held)
    with pytest.raises(PermissionError):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


@pytest.fixture
def locks(monkeypatch: pytest.MonkeyPatch) -> set[tuple[int, int]]:
    """Locks of bytes as Python's library reference describes `msvcrt.locking`: refused where another has them."""
    taken: set[tuple[int, int]] = set()
    module = types.ModuleType("msvcrt")
    module.LK_NBLCK, module.LK_UNLCK = 2, 0  # type: ignore[attr-defined]

    def locking(file: int, way: int, size: int) -> None:
        region = (os.fstat(file).st_ino, os.lseek(file, 0, os.SEEK_CUR))
        assert size == 1
        if (region in taken) == (way == 2):
            raise OSError(errno.EACCES, "Permission denied")
        taken.symmetric_difference_update({region})

    module.locking = locking  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "msvcrt", module)
    monkeypatch.setattr(sys, "platform", "win32")
    return taken


def test_two_windows_cannot_write_one_job_on_windows_either(tmp_path: Path, locks: set[tuple[int, int]]) -> None:
    first = Journal(tmp_path, "job")
    first.write(EVENT)
    with pytest.raises(JournalError, match="job"):
        Journal(tmp_path, "job")
    first.write(EVENT)
    # What is locked lies behind all that is read, since nobody else may read it.
    assert all(place > 1_000_000 for _, place in locks)
    first.close()
    assert locks == set()
    again = Journal(tmp_path, "job")
    again.write(EVENT)
    again.close()
    assert read_events(tmp_path / "job.jsonl") == (EVENT, EVENT, EVENT)


def test_a_folder_that_cannot_be_opened_is_no_hindrance_on_windows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened, folder = os.open, str(tmp_path)

    def open_files_only(path: str | Path, *rest: int) -> int:
        if str(path) == folder:
            raise PermissionError(errno.EACCES, "Permission denied", folder)
        return opened(path, *rest)

    monkeypatch.setattr(os, "open", open_files_only)
    monkeypatch.setattr(os, "name", "nt")
    journal = Journal(tmp_path, "job")
    journal.write(EVENT)
    journal.close()
    monkeypatch.undo()
    assert read_events(tmp_path / "job.jsonl") == (EVENT,)


@pytest.mark.parametrize(("platform", "code"), [("win32", 141), ("linux", 2)])
def test_output_that_nobody_reads_is_no_mistake_on_windows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], platform: str, code: int
) -> None:
    """Python on Windows raises EINVAL where the pipe it writes to is broken, as its own tracker tells."""

    class Broken(io.StringIO):
        def flush(self) -> None:
            raise OSError(errno.EINVAL, "Invalid argument")

        def fileno(self) -> int:
            return file.fileno()

    with (tmp_path / "out").open("wb") as file:
        monkeypatch.setattr(sys, "platform", platform)
        monkeypatch.setattr(sys, "stdout", Broken())
        monkeypatch.setattr(app, "_run", lambda _: 0)
        assert app.command_line([]) == code
        monkeypatch.undo()
    assert ("could not be written" in capfd.readouterr().err) == (code == 2)

"""Calls on machines whose code page is not UTF-8, and input as Windows writes it: marked, with other line ends."""

from __future__ import annotations

import contextlib
import json
import re
import shutil
import subprocess
from collections.abc import Mapping
from pathlib import Path

import pytest

from engine.session.journal import read_events
from tests.interview.frontends.test_resizing import Watched, shown_text
from tests.interview.people import LIMIT_S, PROGRAM, ROOT, environment, lines, run_in_bytes

PAGES = ("ascii", "cp437", "cp850", "cp1252")
"""ASCII, the console's pages in the United States and in Western Europe, and that of files there (from memory)."""
BOM = b"\xef\xbb\xbf"
"""How a text editor on Windows may mark UTF-8. Source: The Unicode Standard, section 23.8 (from memory)."""
FAULTS = ROOT / "faults"
VISIBLE = FAULTS / "calls" / "visible.yaml"
CALLS: Mapping[str, str] = {
    "counter": lines("none", "nothing", "3.2 g/L", "?", "?", "help", "list", "dk", "note 20 m³", "finish", "2"),
    "field": lines("none", "18 C", "?", "?", "help", "list", "12", "dk", "note 20 m³", "finish", "2"),
}


def ran(folder: Path, *arguments: str, typed: bytes = b"", **more: str) -> subprocess.CompletedProcess[bytes]:
    """Run the program in a folder, its jobs kept in `jobs` there: a short path is never wrapped."""
    folder.mkdir(exist_ok=True)
    with contextlib.chdir(folder):
        done = run_in_bytes(Path("jobs"), *arguments, typed=typed, BRINECALL_CONFIG="config", **more)
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr
    return done


def printed(folder: Path, page: str, *arguments: str, typed: str = "") -> list[str]:
    """What a command prints in a code page, line by line, without what differs from run to run."""
    done = ran(folder, *arguments, typed=BOM + typed.encode(), PYTHONIOENCODING=f"{page}:strict")
    text = (done.stdout + done.stderr).decode(page)
    return without_job(text).splitlines()


def without_job(text: str) -> str:
    """Without the job's number, its minute, which may stand over the end of a line, and without what took how long."""
    part = r"\n?-\n?[0-9]"
    job = rf"[0-9]{{4}}{part}{{2}}{part}{{2}}{part}{{4}}(?:{part}+)?"
    return re.sub(rf"{job}|[0-9.]+ s$", "...", text, flags=re.MULTILINE)


def has(page: str, text: str) -> bool:
    return text.encode(page, errors="ignore").decode(page) == text


def check_lines(lines_shown: list[str], meant: list[str], page: str) -> None:
    """A line that the page can show is shown; any other says the same in plain signs, none of them a question mark."""
    assert len(lines_shown) == len(meant)
    for line, whole in zip(lines_shown, meant, strict=True):
        assert line.count("?") == whole.count("?"), (line, whole)
        if has(page, whole):
            assert line == whole
        for word, meant_word in zip(line.split(), whole.split(), strict=False):
            if not has(page, meant_word):
                break
            assert word == meant_word


@pytest.mark.e2e
@pytest.mark.parametrize("page", ["utf-8", "cp437"])
def test_a_process_of_its_own_prints_the_same_bytes(tmp_path: Path, page: str) -> None:
    """What the other tests of this folder rely on, who run a command line in their own process."""
    call = ("--language", "es", "ask", "--role", "field", "--complaint", "cold-water", "--unit", "default")
    sheet = ("--language", "es", "sheet", "last", "--as", "markdown")
    for arguments, typed in ((call, CALLS["field"]), (sheet, "")):
        said, (ours, theirs) = BOM + typed.encode(), (tmp_path / "h", tmp_path / "p")
        alone = subprocess.run(
            [*PROGRAM, *arguments],
            input=said,
            capture_output=True,
            timeout=LIMIT_S,
            env=environment(theirs, PYTHONIOENCODING=page),
            check=False,
        )
        here = run_in_bytes(ours, *arguments, typed=said, PYTHONIOENCODING=page)
        assert (alone.returncode, here.returncode) == (0, 0)
        _take_no_time(ours, theirs)
        for told, meant in ((here.stdout, alone.stdout), (here.stderr, alone.stderr)):
            assert without_job(told.decode(page)) == without_job(meant.decode(page).replace(str(theirs), str(ours)))


def _take_no_time(*folders: Path) -> None:
    """Give every event of the jobs kept one time, as an interview within a minute has no visit on its sheet."""
    for path in (path for folder in folders for path in folder.glob("*.jsonl")):
        path.write_text(re.sub(r'"at": "[^"]+"', '"at": "2026-11-30T12:00:00Z"', path.read_text("utf-8")), "utf-8")


@pytest.mark.no_cover  # the same call in each code page
@pytest.mark.parametrize(("role", "language"), [("counter", "en"), ("field", "es")])
def test_a_whole_call_can_be_read_in_any_code_page(tmp_path: Path, role: str, language: str) -> None:
    call = ("--language", language, "ask", "--role", role, "--complaint", "cold-water", "--unit", "default")
    sheet = ("--language", language, "sheet", "last", "--as", "markdown")
    meant = printed(tmp_path / "utf-8", "utf-8", *call, typed=CALLS[role])
    assert any(word in line for line in meant for word in ("DANGER", "PELIGRO", "WARNING", "ADVERTENCIA"))
    for page in PAGES:
        check_lines(printed(tmp_path / page, page, *call, typed=CALLS[role]), meant, page)
        check_lines(printed(tmp_path / page, page, *sheet), printed(tmp_path / page, "utf-8", *sheet), page)


@pytest.mark.no_cover  # the same command in each code page
@pytest.mark.parametrize(
    "arguments",
    [
        ["draw", "cold-water"],
        ["draw", "cold-water", "--as", "mermaid"],
        ["compute", "salt-dose", "volume=50", "now=1200ppm", "target=3.2g/L"],
        ["ask", "--facts", str(VISIBLE)],
        ["ask", "--help"],
    ],
)
def test_every_command_can_be_read_in_any_code_page(tmp_path: Path, arguments: list[str]) -> None:
    """But in ASCII: a terminal that has no more is taken by click for one that has not been told of UTF-8."""
    spanish = ("--language", "es", *arguments)
    meant = printed(tmp_path, "utf-8", *spanish)
    for page in PAGES[1:]:
        check_lines(printed(tmp_path, page, *spanish), meant, page)


@pytest.mark.e2e
def test_a_terminal_of_another_code_page_is_legible_too(tmp_path: Path) -> None:
    """Before the line editor is there, in what it draws, and in its prompt."""
    terminal = Watched(tmp_path, page="cp437", LC_ALL="es_MX.UTF-8", PAGER="cat")
    brought = terminal.settled() + "".join(map(terminal.type, ("ninguno", "pedir volumen", "10", "terminar", "hoja")))
    terminal.close()
    shown = shown_text(brought)
    assert "tensión" in shown or "sección" in shown or "después" in shown
    assert re.search(r"m3, o \? >", shown)
    assert "DECISION" in shown
    assert not re.search(r"\w\?\w", shown)


@pytest.mark.parametrize("page", PAGES)
def test_what_is_wrong_can_be_read_in_any_code_page(tmp_path: Path, page: str) -> None:
    done = run_in_bytes(tmp_path, "--language", "es", "resume", "ñandú", PYTHONIOENCODING=f"{page}:strict")
    said = done.stderr.decode(page)
    assert done.returncode == 2
    assert "nandu" in said or "ñandú" in said
    assert not re.search(r"\\x|\\u|Traceback", said)


@pytest.mark.parametrize("page", ["cp437", "cp1252"])
def test_json_is_utf_8_whatever_the_code_page(tmp_path: Path, page: str) -> None:
    """Source: RFC 8259, section 8.1."""
    typed = BOM + '{"answer": "field"}\r\n{"note": "año → 日"}\r\n{"leave": true}\r\n'.encode()
    done = ran(tmp_path, "--language", "es", "ask", "--pipe", typed=typed, PYTHONIOENCODING=page)
    said = [json.loads(line) for line in done.stdout.decode("utf-8").splitlines()]
    assert said[0]["text"] == "¿Dónde atiende esta llamada?"
    assert [line for line in said if "error" in line] == []
    (journal,) = tmp_path.glob("jobs/*.jsonl")
    assert [event.text for event in read_events(journal) if event.kind == "noted"] == ["año → 日"]
    (_, first, *_) = VISIBLE.read_text(encoding="utf-8").split("\n---\n")
    (tmp_path / "call.yaml").write_text(re.sub(r"(?m)^call: .*$", "call: año → 日", first), encoding="utf-8")
    tried = ran(tmp_path, "--language", "es", "try", "call.yaml", "--json", PYTHONIOENCODING=page)
    assert json.loads(tried.stdout.decode("utf-8"))["calls"][0]["call"] == "año → 日"
    sheet = ran(tmp_path, "--language", "es", "sheet", "last", "--as", "json", PYTHONIOENCODING=page)
    json.loads(sheet.stdout.decode("utf-8"))


def kept(folder: Path) -> list[tuple[str, object, str]]:
    (journal,) = folder.glob("jobs/*.jsonl")
    return [(event.kind, event.value, event.text) for event in read_events(journal) if event.kind != "opened"]


@pytest.mark.parametrize(("mark", "end"), [(b"", b"\r\n"), (BOM, b"\n"), (BOM, b"\r\n")])
@pytest.mark.parametrize("page", ["utf-8", "cp1252"])
def test_typed_lines_may_come_as_windows_writes_them(tmp_path: Path, mark: bytes, end: bytes, page: str) -> None:
    typed = lines("3", "none", "1", "cold-water", "1", "18 C", "note año", "finish", "1")
    # Without its mark the input is in the code page of the machine.
    other = mark + typed.encode("utf-8" if mark else page)
    ran(tmp_path / "plain", typed=typed.encode(), PYTHONIOENCODING="utf-8")
    ran(tmp_path / "other", typed=other.replace(b"\n", end), PYTHONIOENCODING=page)
    assert kept(tmp_path / "other") == kept(tmp_path / "plain")
    assert any(text == "año" for _, _, text in kept(tmp_path / "other"))


def as_windows_writes(path: Path, target: Path) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(BOM + path.read_bytes().replace(b"\n", b"\r\n"))


def test_worked_calls_and_knowledge_may_be_files_as_windows_writes_them(tmp_path: Path) -> None:
    as_windows_writes(VISIBLE, tmp_path / "calls.yaml")
    folder = tmp_path / "faults"
    shutil.copytree(FAULTS, folder, ignore=shutil.ignore_patterns("__pycache__"))
    for path in FAULTS.rglob("*.yaml"):
        as_windows_writes(path, folder / path.relative_to(FAULTS))
    own = ("--faults", str(folder))
    assert b"mistake" not in ran(tmp_path, *own, "check").stderr
    printed_here = ran(tmp_path, "ask", "--facts", str(VISIBLE), "--call", "2").stdout
    for given in (VISIBLE, tmp_path / "calls.yaml"):
        printed_there = ran(tmp_path, *own, "ask", "--facts", str(given), "--call", "2").stdout
        assert without_fingerprint(printed_there) == without_fingerprint(printed_here)


def without_fingerprint(sheet: bytes) -> bytes:
    return re.sub(rb"[0-9a-f]{12}", b"", sheet)

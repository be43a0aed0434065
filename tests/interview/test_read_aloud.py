"""Plain lines for a screen reader, as `TERM=dumb` asks for them: each line says something, each question says all."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from interview.frontends.layout import Line
from interview.frontends.plain import PlainLines
from tests.interview.people import lines, run

PROMPT = re.compile(r"^1-([0-9]+)(?:, or \?|, o \?) > ?$", re.MULTILINE)
LANGUAGES = {"counter": "es", "phone": "en", "field": "es"}
KNOWN = ("--complaint", "low-salt", "--unit", "default")
CALL = lines("none", "nothing", "3400", "?", "?", "help", "dk", "list", "can't no time", "dk", "finish", "2")


def call(role: str, term: str) -> str:
    """What a call prints, kept in a folder with a short name that no line is broken for."""
    done = run(Path(term[0]), "--language", LANGUAGES[role], "ask", "--role", role, *KNOWN, typed=CALL, TERM=term)
    assert (done.returncode, done.stderr.count("\n")) == (0, 2)
    return re.sub(r"[dx]/[0-9]{4}-[0-9]{2}-[0-9]{2}-[0-9]{4}|[0-9]{4}-[0-9]{2}-[0-9]{2}-[0-9]{4}", "JOB", done.stdout)


@pytest.fixture(autouse=True)
def in_a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def words(text: str) -> list[str]:
    """The words alone, without the signs that rule, frame or lead."""
    return re.findall(r"[^\s|=+_.-]+", text)


@pytest.mark.parametrize("role", LANGUAGES)
def test_each_line_says_something_and_nothing_is_left_out(role: str) -> None:
    aloud, looked_at = call(role, "dumb"), call(role, "xterm")
    assert words(aloud) == words(looked_at)
    assert any(re.fullmatch(r"[-=+]+", line) for line in looked_at.splitlines())
    for line in aloud.splitlines():
        assert not line.strip() or re.search(r"\w", line.replace("_", "")) or line.strip() == "(<)", line
        assert not re.search(r"[-=+|*#~]{3}|^\s*\||\|\s*$", line), line
    assert re.findall(r"[\x00-\x09\x0b-\x1f\x7f]", aloud) == []


@pytest.mark.parametrize("role", LANGUAGES)
def test_each_question_says_by_itself_what_can_be_answered(role: str) -> None:
    """Before each prompt for a figure stand as many numbered answers, counted from 1, and a question above them."""
    parts = re.split(r"(?<= > )\n", call(role, "dumb"))
    asked = 0
    for part in parts:
        prompt = PROMPT.search(part)
        numbered = re.findall(r"^ +([0-9]+)  (?=\S)", part, re.MULTILINE)
        if prompt is None or not numbered:
            continue
        asked += 1
        assert numbered[-int(prompt[1]) :] == [str(number) for number in range(1, int(prompt[1]) + 1)]
        above = part[: part.rindex(f" {numbered[-int(prompt[1])]}  ")].strip().splitlines()
        assert len(above[-1].strip()) > 3
    assert asked >= 3


@pytest.mark.parametrize(
    ("seen", "told"),
    [
        ("========", []),
        ("+------+", []),
        ("----  ---", []),
        ("- - - -", []),
        ("______", []),
        ("| DANGER   |", ["DANGER"]),
        ("Unit: ............ mid-size", ["Unit: mid-size"]),
        ("can't ...  add why", ["can't ...  add why"]),
        ("            (<)", ["            (<)"]),
        ("[ ] 1. Clean", ["[ ] 1. Clean"]),
        ("", [""]),
        ("5 - 3 = 2", ["5 - 3 = 2"]),
        ("Return ______ on", ["Return ______ on"]),
    ],
)
def test_what_is_only_seen_is_not_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], seen: str, told: list[str]
) -> None:
    for term, wanted in (("dumb", told), ("xterm", [seen])):
        monkeypatch.setenv("TERM", term)
        PlainLines().write([Line("before"), Line(seen), Line("after")])
        assert capsys.readouterr().out == "".join(f"{line}\n" for line in ("before", *wanted, "after"))

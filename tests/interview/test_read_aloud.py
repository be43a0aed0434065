"""Plain lines for a screen reader, as `TERM=dumb` asks for them: each line says something, each question says all."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest

from tests.interview.people import lines, run

PROMPT = re.compile(r"^(?:Type|Escriba)[^0-9]* 1 (?:to|a) ([0-9]+),.* > ?$", re.MULTILINE)
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
    """The words alone, without the signs that rule, frame, lead or tick."""
    return re.findall(r"\w{2,}", text.casefold().replace("_", " "))


@pytest.mark.parametrize("role", LANGUAGES)
def test_each_line_says_something_and_nothing_is_left_out(role: str) -> None:
    aloud, looked_at = call(role, "dumb"), call(role, "xterm")
    # Prompts are said otherwise.
    seen = "\n".join(line for line in looked_at.splitlines() if " > " not in f"{line} ")
    assert set(words(seen)) - set(words(aloud)) == set()
    assert any(re.fullmatch(r"[-=+]+", line) for line in looked_at.splitlines())
    for line in aloud.splitlines():
        assert not line.strip() or re.search(r"\w", line.replace("_", "")) or line.strip() == "(<)", line
        assert not re.search(r"[-=+|*#~_]{3}|^\s*\||\|\s*$|\[ \]", line), line
    assert re.findall(r"[\x00-\x09\x0b-\x1f\x7f]", aloud) == []


@pytest.mark.parametrize("role", LANGUAGES)
def test_no_sentence_is_broken_in_two_lines(role: str) -> None:
    """A screen reader reads line by line: none but what is typed behind a prompt goes on in the next one."""
    for line, after in pairwise(call(role, "dumb").splitlines()):
        assert not (re.search(r"[a-z,]$", line) and re.match(r"[a-z]", after)), (line, after)


def test_what_was_typed_is_said_again_as_it_was_understood() -> None:
    """Nobody hears what stood behind a prompt: answers, don't know, and what could not be done with its reason."""
    typed = lines("none", "nothing", "can't no time", "dk", "leave")
    done = run(Path("d"), "ask", "--role", "counter", *KNOWN, typed=typed, TERM="dumb")
    echoes = [line.strip() for line in done.stdout.splitlines() if line.startswith("   = ")]
    assert echoes[-4:] == ["= None of these, I am sure", "= Nothing", "= Not possible: no time", "= Not known"]


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

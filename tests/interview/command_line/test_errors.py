"""What a command line that cannot be used is told: one line, in the language that was asked for."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

import click
import pytest

from engine.foundation.text_catalog import use_language
from interview.commands.app import cli, command_line

VISIBLE = str(files("faults") / "calls" / "visible.yaml")
NAMES = re.compile(
    r"\w+ \([^)]*\)|\w+=\S*|[a-z]+-[a-z-]+|'[^']*'|`[^`]*`|--?\w+|\S+/\S+|[A-Z]{2,}"
    r"|\b(?:brinecall|shell|csh|bash|zsh|fish)\b"
)
WORD = re.compile(r"[^\W\d_]{3,}")
BAD = [
    ["aks"],
    ["zzz"],
    ["--wat"],
    ["ask", "--rolle", "field"],
    ["ask", "--role", "feild"],
    ["ask", "--call", "1"],
    ["ask", "--facts", VISIBLE, "--call", "0"],
    ["ask", "--facts", VISIBLE, "--call", "z"],
    ["ask", "--facts", VISIBLE, "--pipe"],
    ["ask", "--facts", "nowhere.yaml"],
    ["ask", "--for", "nobody"],
    ["ask", "--pipe=3"],
    ["--jobs"],
    ["completion", "csh"],
    ["completion"],
    ["draw"],
    ["check", "a", "b"],
    ["check", "a", "b", "c"],
    ["try", "x", "--floor", "3"],
    ["try", "x", "--floor", "half"],
    ["try", "nowhere.yaml"],
    ["why"],
    ["resume"],
    ["resume", "nothing"],
    ["compute"],
    ["compute", "salt-dose"],
    ["compute", "sal-dose"],
    ["compute", "fuse"],
    ["compute", "hocl", "7.5"],
    ["compute", "hocl", "ph=7.5", "ph=7.6", "temp=25"],
    ["compute", "hocl", "ph=15", "temp=20"],
    ["compute", "hocl", "ph=7", "temp=50"],
    ["compute", "salt-dose", "volume=50", "now=4000", "target=3200"],
    ["compute", "salt-dose", "volume=50", "now=3bar", "target=3200"],
    ["compute", "chlorine-up", "volume=50", "by=3", "strength=65"],
    ["compute", "pool-volume", "shape=round", "diameter=4"],
]


@dataclass(frozen=True)
class Told:
    """How a command line ended, and what was said."""

    code: int
    out: str
    error: str


Run = Callable[..., Told]


@pytest.fixture
def told(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Iterator[Run]:
    """Runs a command line where there is no job yet."""
    monkeypatch.setenv("BRINECALL_JOBS", str(tmp_path))
    # A word behind an option is its value, whatever it looks like: the folder of that name is made there.
    monkeypatch.chdir(tmp_path)

    def run(*arguments: str) -> Told:
        code = command_line(arguments)
        return Told(code, *capsys.readouterr())

    yield run
    use_language("en")


@pytest.mark.parametrize("arguments", BAD, ids=" ".join)
def test_bad_input_is_answered_in_the_language_asked_for(told: Run, arguments: list[str]) -> None:
    english, spanish = told(*arguments), told("--language", "es", *arguments)
    assert (english.code, spanish.code) == (2, 2)
    assert spanish.out == ""
    assert len(spanish.error.splitlines()) == len(english.error.splitlines()) == 1
    there, here = (set(WORD.findall(NAMES.sub(" ", done.error).lower())) for done in (english, spanish))
    # Names of commands are the same; what else both languages share by chance is little, but for a sentence in English.
    there, here = (words - set(cli.list_commands(click.Context(cli))) for words in (there, here))
    assert len(there & here) <= len(here) // 3, there & here


@pytest.mark.parametrize("arguments", BAD, ids=" ".join)
def test_the_spanish_answer_names_the_same_things(told: Run, arguments: list[str]) -> None:
    assert named(told, "--language", "es", arguments) == named(told, "--language", "en", arguments)


def named(told: Run, option: str, language: str, arguments: list[str]) -> list[str]:
    """What an answer names; what the usage line of its language calls an argument, by the place it has there."""
    usage = told(option, language, arguments[0], "--help").out.partition("\n\n")[0].split()
    things = re.findall(r"'[^']*'|--\w+|\b[A-Z]{4,}\b", told(option, language, *arguments).error)
    return sorted(f"argument {usage.index(each[1:-1])}" if each[1:-1] in usage else each for each in things)


@pytest.mark.parametrize("typed", [["ask", "--pipe=3"], ["check", "--verbose=1"], ["--version=2"]])
def test_a_flag_takes_no_value_and_an_option_needs_one(told: Run, typed: list[str]) -> None:
    assert told(*typed).error == f"brinecall: Option '{typed[-1].partition('=')[0]}' does not take a value.\n"
    assert told("--faults").error == "brinecall: Option '--faults' requires an argument.\n"
    assert told("sheet", "--columns").error == "brinecall: Option '--columns' requires an argument.\n"


def test_what_was_meant_is_guessed(told: Run) -> None:
    assert "'check'" in told("chekc").error
    assert "'--facts'" in told("ask", "--fakts", "x").error
    assert "Did you mean" not in told("qqqqq").error


def test_the_language_may_stand_behind_what_cannot_be_used(told: Run) -> None:
    assert "No existe la opción" in told("--wat", "--language", "es").error
    assert "No existe la opción" in told("--wat", "--language=es").error
    # The last one counts, as for every option.
    assert "There is no option" in told("--language", "es", "--wat", "--language", "en").error


def test_a_language_that_there_is_not_is_refused_once(told: Run) -> None:
    done = told("--language", "xx", "resume")
    assert done.code == 2
    assert "no language `xx`" in done.error


def test_the_systems_reasons_are_said_in_the_language(told: Run, tmp_path: Path) -> None:
    """ENOENT and EISDIR as the C library words them in English; POSIX.1-2017, chapter 2.3, names them (from memory)."""
    assert "No such file or directory" in told("ask", "--facts", str(tmp_path / "nowhere.yaml")).error
    assert "no existe ese archivo" in told("--language", "es", "ask", "--facts", str(tmp_path / "nowhere.yaml")).error
    assert "es una carpeta" in told("--language", "es", "ask", "--facts", str(tmp_path)).error


def said(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """What a refused command line says on standard error, and nowhere else."""
    assert command_line(list(words)) == 2
    told = capsys.readouterr()
    assert told.out == ""
    return " ".join(told.err.split())


def test_an_option_before_its_command_is_told_where_it_goes(capsys: pytest.CaptureFixture[str]) -> None:
    assert "goes after its command" in said(capsys, "--units", "us")
    # Another is not.
    assert "goes after" not in said(capsys, "--wat")


def test_a_word_that_only_sounds_a_little_like_a_command_is_no_slip_of_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert "mean" not in said(capsys, "interview")
    assert "Did you mean 'check'?" in said(capsys, "chek")


def test_where_no_name_is_near_it_is_said_how_to_list_them(capsys: pytest.CaptureFixture[str]) -> None:
    assert "brinecall entries cause" in said(capsys, "cover", "zzzzzz")


@pytest.mark.parametrize("words", [["compute", "salt-dose", "volume=50"], ["compute", "zzz"], ["cover", "zzz"]])
def test_every_refusal_begins_with_the_program_s_name(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert said(capsys, *words).startswith("brinecall: ")


def test_nobody_to_forget_is_told_once(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    told = said(capsys, "--store", str(tmp_path / "store.db"), "forget", "nobody")
    assert told.count("no matching") == 1


def test_the_version_names_every_folder_in_use(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BRINECALL_CONFIG", str(tmp_path / "settings"))
    assert command_line(["--jobs", str(tmp_path / "jobs"), "--version"]) == 0
    told = capsys.readouterr().out
    assert str(tmp_path / "settings") in told
    assert str(tmp_path / "jobs") in told

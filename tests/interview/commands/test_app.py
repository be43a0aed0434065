"""Commands, options, messages, exit codes."""

from __future__ import annotations

import shutil
import subprocess
from importlib.resources import files
from pathlib import Path

import click
import pytest

from interview.commands.app import cli, command_line
from tests.interview.people import LIMIT_S, PROGRAM, environment, run
from tests.shipped import knowledge

FAULTS = Path(str(files("faults")))
VISIBLE = str(FAULTS / "calls" / "visible.yaml")


def refused(done: subprocess.CompletedProcess[str], *said: str) -> None:
    """One clear line, exit code 2, no traceback."""
    assert done.returncode == 2, done.stdout + done.stderr
    assert len(done.stderr.splitlines()) == 1, done.stderr
    for words in said:
        assert words in done.stderr


def test_help_names_every_command_and_gives_examples(capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line(["--help"]) == 0
    shown = capsys.readouterr().out
    for command in ("ask", "resume", "try", "check", "compute", "completion", "--faults", "--jobs", "--version"):
        assert command in shown
    assert "Examples:" in shown


@pytest.mark.parametrize("command", cli.list_commands(click.Context(cli)))
def test_every_command_has_its_help(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line([command, "--help"]) == 0
    assert "Usage: brinecall" in capsys.readouterr().out


def test_the_version_names_the_knowledge(capsys: pytest.CaptureFixture[str]) -> None:
    assert command_line(["--version"]) == 0
    assert knowledge().fingerprint in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["aks"], ["aks", "ask"]),
        (["ask", "--rolle", "field"], ["--role"]),
        (["ask", "--role", "feild"], ["--role", "feild", "did you mean `field`"]),
        (["ask", "--complaint", "no_output"], ["--complaint", "no-output"]),
        (["ask", "--unit", "x"], ["--unit", "default"]),
        (["ask", "--call", "1"], ["--facts"]),
        (["ask", "--facts", VISIBLE, "--call", "0"], ["--call"]),
        (["ask", "--facts", VISIBLE, "--call", "9999"], ["9999"]),
        (["ask", "--facts", "nowhere.yaml"], ["nowhere.yaml"]),
        (["ask", "--facts", VISIBLE, "--pipe"], ["--pipe"]),
        (["resume"], ["no open job"]),
        (["resume", "nothing"], ["no job"]),
        (["--faults", "nowhere"], ["nowhere", "no such folder"]),
        (["completion", "csh"], ["bash"]),
        (["--jobs"], ["--jobs"]),
    ],
)
def test_bad_input_is_one_line_and_exit_code_2(tmp_path: Path, arguments: list[str], said: list[str]) -> None:
    refused(run(tmp_path, *arguments), *said)


def test_a_bad_call_is_placed(tmp_path: Path) -> None:
    call = tmp_path / "call.yaml"
    for text in ("call: x\nrole: captain\ncomplaint: no-output\nfacts: {}\n", "", "\x00\xff", "[", "- a\n- b\n"):
        call.write_text(text, encoding="latin-1")
        refused(run(tmp_path, "ask", "--facts", str(call)), str(call))


def test_a_faults_folder_with_mistakes_is_refused_before_anything_is_asked(tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    shutil.copytree(FAULTS, folder, ignore=shutil.ignore_patterns("__pycache__"))
    (folder / "roles.yaml").write_text("- role: captain\n", encoding="utf-8")
    done = run(tmp_path / "jobs", "--faults", str(folder), typed="1\n")
    refused(done, "roles.yaml", "can_use")
    assert done.stdout == ""


def test_facts_give_the_sheet(tmp_path: Path) -> None:
    done = run(tmp_path, "ask", "--facts", VISIBLE, "--call", "2")
    assert done.returncode == 0, done.stderr
    assert knowledge().fingerprint in done.stdout
    other = run(tmp_path, "ask", "--facts", VISIBLE, "--call", "2", "--role", "field")
    assert other.returncode == 0, other.stderr
    assert "technician" in "".join(other.stdout.splitlines()[:3]).lower()
    assert list(tmp_path.iterdir()) == []


def test_what_is_known_is_not_asked(tmp_path: Path) -> None:
    done = run(
        tmp_path, "ask", "--role", "phone", "--complaint", "low-salt", "--unit", "default", typed="none\nleave\n"
    )
    assert done.returncode == 0, done.stderr
    assert "What is the problem? Say it" not in done.stdout
    assert "What is the problem" not in done.stdout
    assert "Question 1 of at most 12." in done.stdout


def test_going_back_reaches_what_an_option_said(tmp_path: Path) -> None:
    done = run(tmp_path, "ask", "--role", "phone", typed="back\nfield\nnone\n")
    assert "Undone: Where are you taking this call?" in done.stdout
    assert "none; looked and asked" in done.stdout


@pytest.mark.e2e  # click asks bash for its version
@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_is_printed_for_each_shell(tmp_path: Path, shell: str) -> None:
    done = run(tmp_path, "completion", shell)
    assert done.returncode == 0, done.stderr
    assert "_BRINECALL_COMPLETE" in done.stdout


@pytest.mark.parametrize(
    ("words", "found"),
    [("brinecall as", "ask"), ("brinecall ask --complaint lo", "low-salt"), ("brinecall ask --role f", "field")],
)
def test_commands_and_ids_are_completed(tmp_path: Path, words: str, found: str) -> None:
    done = run(tmp_path, _BRINECALL_COMPLETE="bash_complete", COMP_WORDS=words, COMP_CWORD=str(len(words.split()) - 1))
    assert found in done.stdout


def test_a_fault_of_the_program_is_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> int:
        raise RuntimeError("a fault")

    monkeypatch.setattr("interview.commands.run.start", broken)
    with pytest.raises(RuntimeError, match="a fault"):
        command_line([])


@pytest.mark.e2e
def test_an_output_that_is_full_is_one_line(tmp_path: Path) -> None:
    full = Path("/dev/full")
    if not full.exists():
        return
    with full.open("w") as target:
        done = subprocess.run(
            [*PROGRAM, "--version"],
            stdout=target,
            stderr=subprocess.PIPE,
            env=environment(tmp_path),
            timeout=LIMIT_S,
            check=False,
        )
    assert done.returncode == 2
    assert len(done.stderr.decode().splitlines()) == 1


def test_what_a_call_knows_beside_what_was_asked_stands_on_its_sheet(tmp_path: Path) -> None:
    """Salt to go from 2600 to 3600 ppm (3.6 g/L) in 50 m³ is 50 kg, as 1 ppm is 1 g in 1 m³: arithmetic."""
    call = tmp_path / "call.yaml"
    call.write_text(
        "call: x\nrole: counter\ncomplaint: low-salt\nbrought: [water_sample]\ncause: salt_low\n"
        "facts: {danger_now: none, tested_salt: 2600, salt_added: not_lately, pool_volume: 50, stabiliser: 20}\n"
    )
    sheet = run(tmp_path, "ask", "--facts", str(call)).stdout
    assert "about 50 kg" in sheet
    assert "stabiliser level of 20 ppm is low" in " ".join(sheet.split())
